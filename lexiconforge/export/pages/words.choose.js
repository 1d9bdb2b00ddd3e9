// The sentence of choices, what it finds, and the table that shows it.
const CHOICES = ["allophone", "environment", "syllables", "stress", "level", "top-level", "common"];
const most = words.reduce((top, entry) => Math.max(top, entry.syllables), 1);
const rarest = words.reduce((top, entry) => Math.max(top, entry.rank), 1);
const RANKS = [500, 1000, 2000, 3000, 5000, 10000, 15000].filter((rank) => rank < rarest);
const beatsThere = unique(words.map((entry) => entry.beat)).sort((a, b) => a.length - b.length || (a < b ? 1 : -1));
const CHOICE_TEXTS = {
  allophone: [["", "any sound"], ...tally(allTs.map((t) => t.allophone)).map((name) => [name, article(label(name))])],
  environment: [["", "anywhere"], ...tally(allTs.map((t) => t.environment)).map((name) => [name, place(name)])],
  syllables: [["", "any number of syllables"], ...Array.from({ length: most }, (_, n) => [String(n + 1), plural(n + 1, "syllable", "syllables")])],
  stress: [["", "any stress"], ...beatsThere.map((beat) => [beat, `${dots(beat)} ${beat}`])],
  level: [["", "any level"], ...LEVELS.map((name) => [name, `level ${name}`])],
  common: [["", "all words here"], ...RANKS.map((rank) => [String(rank), `the commonest ${thousands(rank)} of English`])],
};
for (const [id, texts] of Object.entries(CHOICE_TEXTS)) {
  $(id).replaceChildren(...texts.map(([value, text]) => h("option", { value }, text)));
}
$("top-level").replaceChildren(...LEVELS.map((name) => h("option", { value: name }, name)));

const opening = { allophone: allTs.some((t) => t.allophone === about.opening) ? about.opening : "", one: about.one };
const usual = { key: "rank", up: true };
let order = { ...usual };
let found = [];
let shown = PAGE;
const state = () => Object.fromEntries(CHOICES.map((id) => [id, $(id).value]));

// A word that fits is counted under each of its values; one that a single choice keeps out, under that choice: so every
// choice says what it would give beside the others.
function choose() {
  const wanted = state();
  const query = asked($("search").value);
  const named_ = query && !words.some((entry) => query.fits(entry)) ? named(query.text) : undefined;
  const [low, high] = [LEVELS.indexOf(wanted.level), LEVELS.indexOf(wanted["top-level"])];
  const [only, one] = [$("only").checked, $("one").checked];
  const counts = Object.fromEntries(Object.keys(CHOICE_TEXTS).map((id) => [id, new Map()]));
  const families = new Map();
  // The commonest 2,000 hold the commonest 1,000: a family counts where its commonest word stands.
  const commonest = new Set();
  const count = (id, value, entry) => {
    let there = counts[id].get(value);
    if (!there) counts[id].set(value, there = { number: 0, word: entry.word, families: id === "common" ? commonest : new Set() });
    if (one) {
      if (there.families.has(entry.family)) return;
      there.families.add(entry.family);
    }
    there.number += 1;
  };
  found = [];
  for (const entry of words) {
    if (query && !named_ && !query.fits(entry)) continue;
    if (only && !chosen.has(entry.word)) continue;
    const out = [];
    if (wanted.syllables && entry.syllables !== Number(wanted.syllables)) out.push("syllables");
    if (wanted.stress && entry.beat !== wanted.stress) out.push("stress");
    const level = LEVELS.indexOf(entry.level);
    if (wanted.level && (level < low || level > high)) out.push("level");
    if (wanted.common && entry.rank > Number(wanted.common)) out.push("common");
    if (out.length > 1) continue;
    const hits = entry.ts.filter((t) => (!wanted.allophone || t.allophone === wanted.allophone)
      && (!wanted.environment || t.environment === wanted.environment) && (!named_ || t.allophone === named_));
    if (!out.length) {
      for (const [id, other] of [["allophone", "environment"], ["environment", "allophone"]]) {
        entry.ts.forEach((t, n) => {
          const fit = !wanted[other] || t[other] === wanted[other];
          // The same value twice in a word is one word.
          if (fit && !entry.ts.slice(0, n).some((before) => before[id] === t[id])) count(id, t[id], entry);
        });
      }
    }
    if (!hits.length) continue;
    for (const id of out.length ? out : ["syllables", "stress", "level", "common"]) {
      if (id === "common") count(id, RANKS.find((rank) => entry.rank <= rank) ?? "", entry);
      else if (entry[id === "stress" ? "beat" : id] !== "") count(id, String(entry[id === "stress" ? "beat" : id]), entry);
    }
    if (out.length) continue;
    if (!one) found.push({ entry, hits, rank: entry.rank });
    else if (!families.has(entry.family)) {
      const item = { entry, hits, rank: entry.rank };
      families.set(entry.family, item);
      found.push(item);
    } else if (entry.word === entry.family && entry.zipf >= families.get(entry.family).entry.zipf - about.much_rarer) {
      // The base stands for its family unless it is much rarer, as in the lists.
      Object.assign(families.get(entry.family), { entry, hits });
    }
  }
  $("to-level").hidden = !wanted.level;
  tellChoices(counts);
  sort();
  tellNothing(query, named_);
  address();
}

function tellChoices(counts) {
  let sum = 0;
  for (const [id, texts] of Object.entries(CHOICE_TEXTS)) {
    const options = $(id).options;
    let word = "";
    texts.forEach(([value, text], n) => {
      if (!value) return;
      const there = counts[id].get(id === "common" ? Number(value) : value);
      if (id === "common") word ||= there?.word || "";
      const number = id === "common" ? sum += there?.number || 0 : there?.number || 0;
      const example = id === "common" ? word : there?.word;
      const told = number ? `${text} (${thousands(number)}: ${example})` : `${text} (none)`;
      if (options[n].textContent !== told) options[n].textContent = told;
    });
  }
}

// Nothing found says what was looked for, what keeps it out, and what is near.
function tellNothing(query, named_) {
  $("none").hidden = found.length > 0 && !named_ && !(query && byLink.has(query.text));
  if ($("none").hidden) return;
  const parts = [];
  if (named_ && found.length) parts.push(h("p", {}, `“${query.text}” is another name for ${article(label(named_))}; shown are the words that have one.`));
  if (query && byLink.has(query.text)) {
    parts.push(h("p", {}, `“${query.text}” are two words that link. `,
      button(`Show ${query.text} among the links`, () => { openTab("links"); search.links(query.text); })));
  }
  if (!found.length) {
    const there = query ? words.filter((entry) => query.fits(entry)) : [];
    parts.push(h("p", {}, query ? `No word here for “${query.text}”${there.length ? " with the other choices." : "."}`
      : "No word fits all of this. Take one of the choices back, or start over."));
    if (there.length) {
      parts.push(h("p", {}, `Without the other choices: ${plural(there.length, "word", "words")}, as ${there[0].word}. `,
        button(`Search all words for ${query.text}`, () => { clearChoices(); choose(); $("search").focus(); })));
    } else if (query && !byLink.has(query.text)) {
      const near = nearest(query);
      if (near.length) {
        parts.push(h("p", { class: "line" }, "Nearest: ", ...near.map((word) => button(word, () => {
          if (byLink.has(word)) { openTab("links"); search.links(word); return; }
          $("search").value = word;
          if (!words.some((entry) => entry.word === word && entry.ts.some((t) => t.allophone === $("allophone").value))) clearChoices();
          choose();
          $("search").focus();
        }))));
      } else parts.push(h("p", {}, "Nothing near it either: the page holds the commonest words only."));
    }
  }
  $("none").replaceChildren(...parts);
}
const clearChoices = () => {
  for (const id of CHOICES) $(id).value = id === "top-level" ? "C2" : "";
  $("one").checked = false;
  $("only").checked = false;
};

const COLUMNS = [
  ["", "choose", "plain"], ["word", "word", ""], ["", "IPA", "roomy"], ["environment", "where", ""],
  ["allophone", `the ${about.letters} is`, ""], ["syllables", "stress", ""], ["level", "level", ""],
  ["rank", "rank", "number"], ["", "more", "plain"],
];
$("heads").replaceChildren(...COLUMNS.map(([name, text, look]) => (name
  ? h("th", { scope: "col", class: look || null, "data-key": name }, button(text))
  : h("th", { scope: "col", class: look }, h("span", { class: look === "plain" ? "unseen" : null }, text)))));

const sortValue = ({ entry, hits, rank }) => {
  if (order.key === "rank") return rank;
  if (order.key === "word") return wordOf(entry);
  if (order.key === "environment") return place(hits[0].environment);
  if (order.key === "allophone") return label(hits[0].allophone);
  return entry[order.key];
};
function sort() {
  const keyed = found.map((item) => [sortValue(item), item]);
  keyed.sort(([one, a], [other, b]) => {
    // A word without a level stands last, whichever way.
    if ((one === "") !== (other === "")) return one === "" ? 1 : -1;
    const by = one < other ? -1 : one > other ? 1 : 0;
    return (order.up ? by : -by) || a.rank - b.rank;
  });
  found = keyed.map(([, item]) => item);
  for (const head of $("heads").children) {
    if (!head.dataset.key) continue;
    if (head.dataset.key === order.key) head.setAttribute("aria-sort", order.up ? "ascending" : "descending");
    else head.removeAttribute("aria-sort");
  }
  shown = PAGE;
  $("rows").replaceChildren(...found.slice(0, shown).map(row));
  tell();
}

function row(item) {
  const { entry, hits } = item;
  const on = chosen.has(entry.word);
  const tick = h("input", { type: "checkbox", "aria-label": `choose ${entry.word}` });
  tick.checked = on;
  return h("tr", { "data-n": entry.number, class: on && "on" },
    h("td", { class: "tick" }, h("label", {}, tick)),
    h("th", { scope: "row" }, spelled(item)),
    h("td", { class: "ipa" }, entry.ipa),
    h("td", { class: "where" }, unique(hits.map((t) => place(t.environment))).join("; ")),
    h("td", { class: "what" }, unique(hits.map((t) => label(t.allophone))).join("; ")),
    h("td", { class: "stress" }, beats(entry.stress)),
    h("td", { class: "level" }, entry.level),
    h("td", { class: "number" }, thousands(entry.rank)),
    h("td", { class: "open" }, h("button", { type: "button", "aria-expanded": "false", "aria-label": `more on ${entry.word}` }, "more")),
    h("td", { class: "line-to-say" }, entry.example));
}

function more(entry) {
  const lines = entry.ts.map((t) => h("p", {}, t.letters ? mark(t.letters, t.allophone) : about.letters,
    `: ${label(t.allophone)}, ${place(t.environment)}.`, t.heard && ` Also heard: ${t.heard}.`,
    t.shares && ` In conversation: ${t.shares} percent (${t.counted}).`, ` Rule: ${t.rule} (${t.source}).`));
  const facts = [entry.part_of_speech, entry.level && `level ${entry.level}`, `stress ${entry.stress}`,
    plural(entry.syllables, "syllable", "syllables"), `rank ${thousands(entry.rank)}`, `Zipf ${entry.zipf}`, `family of ${entry.family}`];
  return [...lines, h("p", {}, facts.filter(Boolean).join(" · ")), ...voiceButton(entry.word)];
}

function tell() {
  const number = found.length;
  $("count").textContent = `${plural(number, "word", "words")} found`;
  $("print").textContent = printText(number);
  $("save").textContent = `Save these ${thousands(number)} as CSV`;
  $("add").textContent = `Add these ${thousands(number)} to what I chose`;
  for (const id of ["print", "save", "add"]) $(id).disabled = !number;
  const left = number - shown;
  $("rest").hidden = left <= 0;
  $("rest").textContent = `Show ${thousands(Math.min(left, MORE))} more`;
}

$("rest").addEventListener("click", () => {
  const first = shown;
  shown += MORE;
  $("rows").append(...found.slice(first, shown).map(row));
  tell();
  $("rows").querySelectorAll("tr[data-n] input")[first]?.focus();
});
$("ask").addEventListener("input", choose);
$("ask").addEventListener("submit", (event) => event.preventDefault());
const open_ = () => {
  clearChoices();
  $("search").value = "";
  order = { ...usual };
  $("allophone").value = opening.allophone;
  $("one").checked = opening.one;
};
$("ask").addEventListener("reset", (event) => { event.preventDefault(); open_(); choose(); });
$("heads").addEventListener("click", (event) => {
  const key_ = event.target.closest("th[data-key]")?.dataset.key;
  if (!key_) return;
  order = { key: key_, up: order.key === key_ ? !order.up : true };
  sort();
  address();
});
$("rows").addEventListener("click", (event) => {
  const press = event.target.closest("button[aria-expanded]");
  if (!press) return;
  const line = press.closest("tr");
  const open = press.getAttribute("aria-expanded") === "true";
  press.setAttribute("aria-expanded", String(!open));
  press.textContent = open ? "more" : "less";
  if (open) line.nextElementSibling.remove();
  else line.after(h("tr", { class: "more" }, h("td", { colspan: COLUMNS.length }, more(words[line.dataset.n]))));
});
$("typing").append("* stands for any letters. Length marks may be left out, r and ɹ are the same; on a keyboard ",
  ...Object.entries(about.typed).flatMap(([written, sign], n) => [n ? ", " : "", h("kbd", {}, written), ` is ${sign}`]), ".");
$("signs").append(...unique(Object.values(about.typed)).map((sign) => button(sign, () => {
  const box = $("search");
  box.setRangeText(sign, box.selectionStart, box.selectionEnd, "end");
  box.focus();
  choose();
}, { "aria-label": `type ${sign}`, class: "sign" })));
