// A round of sorting, and a voice of the device.
const QUESTIONS = 12;
const MOST_ANSWERS = 4;

// Words with one such sound each, the ones asked for and as many others from the same stretch of the vocabulary; with the
// answers there are, in the order of the tables.
function questions(list, count) {
  const fit = (entry) => entry.ts.length === 1 && entry.ts[0].letters;
  const asked_ = list.filter(({ entry }) => fit(entry)).map(({ entry }) => ({ entry, t: entry.ts[0] }));
  let kinds = tally(asked_.map(({ t }) => t.allophone)).slice(0, MOST_ANSWERS);
  const bottom = list.reduce((top, { entry }) => Math.max(top, entry.rank), 0);
  const there = new Set(asked_.map(({ entry }) => entry.word));
  const foils = words.filter((entry) => fit(entry) && !there.has(entry.word) && entry.rank <= bottom && entry.syllables > 1)
    .map((entry) => ({ entry, t: entry.ts[0] }));
  if (kinds.length < 3) kinds = [...kinds, ...tally(foils.map(({ t }) => t.allophone)).filter((name) => !kinds.includes(name)).slice(0, 3 - kinds.length)];
  const own = shuffled(asked_.filter(({ t }) => kinds.includes(t.allophone)));
  const other = shuffled(foils.filter(({ t }) => kinds.includes(t.allophone) && !asked_.some((one) => one.t.allophone === t.allophone)));
  const half = other.length ? Math.ceil(count / 2) : count;
  const out = shuffled([...own.slice(0, half), ...other.slice(0, count - Math.min(half, own.length))]);
  out.answers = Object.keys(about.allophones).filter((name) => kinds.includes(name));
  return out;
}

const results = () => stored("round", {});
function tellResults() {
  const all = Object.entries(results()).filter(([, [n]]) => n > 0);
  return all.length ? [h("p", {}, "On this device so far: ", all.map(([name, [n, usual_]]) => `${label(name)} ${usual_} of ${n}`).join(", "), "."),
    h("p", {}, button("Forget these results", () => { store("round", {}); startRound(); }))] : [];
}
function startRound() {
  const from = (list, text) => button(text, () => ask(questions(list, QUESTIONS), 0, 0));
  const list = chosenItems();
  $("round").replaceChildren(h("h2", {}, `Sort it: what is the ${about.letters}?`),
    h("p", {}, `${QUESTIONS} words, one after the other. Say each one, then press what its ${about.letters} usually is.`),
    h("p", { class: "line" }, from(found, `Start with the words found (${thousands(found.length)})`),
      list.length ? from(list, `Start with what I chose (${thousands(list.length)})`) : ""),
    ...tellResults(), h("p", { class: "hint" }, "Results stay on this device and are sent nowhere."));
}
function ask(round, n, usual_) {
  if (!round.length) { $("round").append(h("p", { role: "status" }, `None of these words has just one ${about.letters}: choose others.`)); return; }
  if (n === round.length) {
    $("round").replaceChildren(h("h2", { tabindex: "-1" }, `${usual_} of ${round.length} as they usually are`), ...tellResults(),
      h("p", {}, button("Another round", () => { startRound(); $("round").querySelector("button").focus(); })));
    $("round").querySelector("h2").focus();
    return;
  }
  const { entry, t } = round[n];
  const item = { entry, hits: [t] };
  const answer = h("div", { role: "status", id: "answer" });
  const choices = h("div", { class: "choices" }, round.answers.map((name) => button([mark(about.letters, name), h("span", {}, label(name))], (event) => {
    const right = name === t.allophone;
    const also = t.heard.split("; ").some((one) => one.replace(" (variant)", "") === name);
    const kept = results();
    const [asked_, before] = kept[t.allophone] || [0, 0];
    kept[t.allophone] = [asked_ + 1, before + right];
    store("round", kept);
    for (const one of choices.children) { one.disabled = true; }
    event.currentTarget.setAttribute("aria-pressed", "true");
    answer.append(h("p", { class: "big" }, spelled(item), " ", h("span", { class: "ipa" }, entry.ipa)),
      h("p", {}, right ? "Yes: " : also ? "Heard too; more often: " : "More often: ", `${label(t.allophone)}, ${place(t.environment)}.`,
        t.heard && ` Also heard: ${t.heard}.`, ` A true ${about.letters} is always acceptable.`),
      entry.example && h("p", {}, entry.example),
      ...voiceButton(entry.word),
      h("p", {}, button(n + 1 < round.length ? "Next word" : "How it went", () => ask(round, n + 1, usual_ + right), { class: "large", id: "next" })));
    $("next").focus();
  }, { class: "large" })));
  $("round").replaceChildren(h("p", {}, `Word ${n + 1} of ${round.length}`), h("p", { class: "big", tabindex: "-1", id: "asked" }, spelled(item, true)), choices, answer);
  $("asked").focus();
}

// Only a voice that is on the device: nothing is sent anywhere. Hidden where there is none.
const voice = () => {
  try { return speechSynthesis.getVoices().find((one) => one.localService && /^en[-_]US$/i.test(one.lang)); } catch { return undefined; }
};
function voiceButton(text) {
  const own = voice();
  if (!own) return [];
  return [h("p", { class: "voice line" }, button("Say it", () => {
    const said = new SpeechSynthesisUtterance(text);
    said.voice = own;
    said.lang = own.lang;
    speechSynthesis.cancel();
    speechSynthesis.speak(said);
  }, { "aria-label": `say ${text}` }), h("span", { class: "hint" }, "A machine voice may not tap; the teacher is the model."))];
}
