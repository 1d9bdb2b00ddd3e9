// Links, contrasts, lines and lessons: one kind of list, each with a search of its own.
const search = {};
const limits = { links: PAGE, contrasts: PAGE, lines: PAGE };
const TEXTS = {
  links: { title: "Two words said as one", told: `The ${about.letters} at the end of the first word meets the start of the next; commonest in talk first.`, kinds: "level" },
  contrasts: { title: "Words that differ in little", told: "Say both, or say one and let the class tell which.", kinds: "kind" },
  lines: { title: "Lines to say", told: `Every ${about.letters} is marked by what it usually is.`, kinds: "allophone" },
};
const searchable = (item) => (item.small ??= [item.text, item.second, item.ipa, item.second_ipa].filter(Boolean).join(" ").toLowerCase());
const kindsOf = (name, item) => (name === "lines" ? unique(item.marks.map(([, , allophone]) => allophone)) : [item[TEXTS[name].kinds]]);
const fitting = (name) => {
  const text = plain($(`${name}-search`).value);
  const kind = $(`${name}-kind`).value;
  return others[name].filter((item) => (!text || searchable(item).includes(text)) && (!kind || kindsOf(name, item).includes(kind)));
};
const kindText = (name, kind) => (name === "lines" ? `with ${article(label(kind))}` : name === "links" ? `level ${kind}` : kind.replaceAll("-", " "));

function linkRow(item) {
  const tick = h("input", { type: "checkbox", "aria-label": `choose ${item.text}` });
  tick.checked = chosen.has(item.text);
  return h("tr", { "data-n": item.number, class: tick.checked && "on" }, h("td", { class: "tick" }, h("label", {}, tick)),
    h("th", { scope: "row" }, marked(item.text, item.marks)), h("td", { class: "ipa" }, item.ipa),
    h("td", { class: "where" }, place(item.environment)), h("td", { class: "line-to-say" }, item.example), h("td", { class: "level" }, item.level));
}
const contrastRow = (item) => h("tr", {}, h("th", { scope: "row" }, marked(item.text, item.marks)), h("td", { class: "ipa" }, item.ipa),
  h("td", { class: "second" }, marked(item.second, item.second_marks)), h("td", { class: "ipa" }, item.second_ipa), h("td", { class: "note" }, item.note));
const lineRow = (item) => h("tr", {}, h("td", { class: "spoken" }, marked(item.text, item.marks)));
const ROWS = { links: linkRow, contrasts: contrastRow, lines: lineRow };
const ROW_HEADS = { links: ["choose", "link", "IPA", "where", "to say", "level"], contrasts: ["first", "IPA", "second", "IPA", "what differs"], lines: ["line"] };

function showOther(name) {
  if (!$(`${name}-rows`)) return;
  const list = fitting(name);
  $(`${name}-rows`).replaceChildren(...list.slice(0, limits[name]).map(ROWS[name]));
  const left = list.length - limits[name];
  $(`${name}-rest`).hidden = left <= 0;
  $(`${name}-rest`).textContent = `Show ${thousands(Math.min(left, MORE))} more`;
  $(`${name}-count`).textContent = list.length ? `${plural(list.length, name.slice(0, -1), name)} found`
    : `Nothing here for “${$(`${name}-search`).value.trim()}”${$(`${name}-kind`).value ? " of this kind" : ""}.`;
  $(`${name}-print`).textContent = printText(list.length);
  $(`${name}-print`).disabled = !list.length;
}
const showOthers = () => Object.keys(TEXTS).filter((name) => $("tabs").dataset.at === name).forEach(showOther);

for (const [name, { title, told }] of Object.entries(TEXTS)) {
  if (!others[name].length) continue;
  const kinds = tally(others[name].flatMap((item) => kindsOf(name, item)).filter(Boolean));
  if (name === "links") kinds.sort();
  const count = (kind) => others[name].filter((item) => kindsOf(name, item).includes(kind)).length;
  others[name].forEach((item, n) => { item.number = n; });
  const again = () => { limits[name] = PAGE; showOther(name); };
  $(name).append(h("h2", {}, title), h("p", {}, told),
    h("form", { class: "line", onsubmit: (event) => event.preventDefault(), oninput: again },
      h("label", { for: `${name}-search` }, "Search"), h("input", { id: `${name}-search`, type: "search", autocomplete: "off", spellcheck: "false" }),
      h("label", { for: `${name}-kind` }, "show"), h("select", { id: `${name}-kind` }, h("option", { value: "" }, "all"),
        kinds.map((kind) => h("option", { value: kind }, `${kindText(name, kind)} (${thousands(count(kind))})`)))),
    h("div", { class: "line" }, h("p", { id: `${name}-count`, role: "status" }), button("", () => window.print(), { id: `${name}-print` })),
    h("table", { class: name }, h("caption", { class: "unseen" }, title),
      h("thead", {}, h("tr", {}, ROW_HEADS[name].map((text) => h("th", { scope: "col", class: text === "choose" ? "plain" : text === "what differs" ? "roomy" : null },
        h("span", { class: text === "choose" ? "unseen" : null }, text))))),
      h("tbody", { id: `${name}-rows` })),
    button("", () => {
      const first = limits[name];
      limits[name] += MORE;
      showOther(name);
      ($(`${name}-rows`).children[first]?.querySelector("input") || $(`${name}-print`)).focus({ preventScroll: name !== "links" });
    }, { id: `${name}-rest` }));
  search[name] = (text) => { $(`${name}-search`).value = text; $(`${name}-kind`).value = ""; again(); };
}

// Whole sentences among the rows of a lesson; the others are words, pairs and contrasts.
const SENTENCES = ["rule", "line"];
const lessons = new Map();
for (const item of others.lessons) lessons.set(item.lesson, [...(lessons.get(item.lesson) || []), item]);
if (lessons.size) {
  $("lessons").append(h("h2", {}, "Lessons, one after the other"), ...[...lessons].map(([number, list]) => {
    const items = list.filter((item) => !SENTENCES.includes(item.role)).map((item) => item.item);
    return h("details", {},
      h("summary", {}, `Lesson ${number}: ${list[0].title} (${thousands(items.length)})`),
      unique(list.map((item) => item.role)).map((role) => {
        const said = list.filter((item) => item.role === role).map((item) => item.item);
        return h("p", {}, h("b", {}, `${role}: `), said.join(SENTENCES.includes(role) ? " " : ", "));
      }),
      h("p", { class: "line" },
        button("Take this lesson instead of what I chose", () => { chosen.clear(); addAll(items); say(`Lesson ${number} is what you chose now.`); },
          { "aria-label": `Take lesson ${number} instead of what I chose` }),
        button("Print its sheet", () => { sheetOf = items; window.print(); }, { "aria-label": `Print the sheet of lesson ${number}` })));
  }));
}
