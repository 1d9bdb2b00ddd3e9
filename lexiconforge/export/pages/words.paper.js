// What goes on paper is put together when it is printed, so that nothing of the screen has to be taken off it.
let printing = "";
let sheetOf = null;
const SHEET = 24;

const table = (heads, rows) => h("table", {}, h("thead", {}, h("tr", {}, heads.map((text) => h("th", { scope: "col" }, text)))), h("tbody", {}, rows));
// What all have in common is said once, above.
const wordRows = (list, several) => list.map((item) => h("tr", {}, h("th", { scope: "row" }, spelled(item)), h("td", {}, item.entry.ipa),
  several ? h("td", {}, unique(item.hits.map((t) => label(t.allophone))).join("; ")) : "", h("td", {}, unique(item.hits.map((t) => place(t.environment))).join("; ")),
  h("td", {}, `${dots(item.entry.stress)}`), h("td", {}, item.entry.level), h("td", {}, item.entry.example)));
const wordHeads = (several) => ["word", "IPA", ...(several ? [`the ${about.letters} is`] : []), "where", "stress", "level", "to say"];

// The choices in words, without the counts that stand beside them.
const chosenText = (id) => CHOICE_TEXTS[id].find(([value]) => value === $(id).value)[1];
function described() {
  const wanted = state();
  const said = ["allophone", "environment", "syllables"].filter((id) => wanted[id]).map(chosenText);
  if (wanted.stress) said.push(`stress ${chosenText("stress")}`);
  if (wanted.level) said.push(wanted.level === wanted["top-level"] ? `level ${wanted.level}` : `levels ${wanted.level} to ${wanted["top-level"]}`);
  if (wanted.common) said.push(`among ${chosenText("common")}`);
  if ($("search").value.trim()) said.push(`“${$("search").value.trim()}”`);
  if ($("one").checked) said.push("one word a family");
  return said;
}
const credits = () => h("p", { class: "small" }, about.credits);

function wordsOnPaper(list, said, links = []) {
  const signs = tally(list.flatMap((item) => item.hits.map((t) => t.allophone)));
  return [h("h1", {}, "Words with a ", mark(about.letters, about.opening || signs[0] || "")), h("p", {}, said),
    h("p", { class: "signs" }, signs.flatMap((name, n) => [n ? " · " : "", mark(about.letters, name), ` ${label(name)}`])),
    list.length ? table(wordHeads(signs.length > 1), wordRows(list, signs.length > 1)) : "",
    links.length ? table(["link", "IPA", "to say"], links.map((link) => h("tr", {}, h("th", { scope: "row" }, marked(link.text, link.marks)),
      h("td", {}, link.ipa), h("td", {}, link.example)))) : "", credits()];
}

function sheet(names) {
  const list = items(names).slice(0, SHEET);
  const links = names.map((name) => byLink.get(name.toLowerCase())).filter(Boolean).slice(0, 12);
  const signs = tally(list.flatMap((item) => item.hits.map((t) => t.allophone)));
  const round = questions(list, 12);
  const lines = unique([...list.map((item) => item.entry.example), ...links.map((link) => link.example)]).filter(Boolean).slice(0, 8);
  const blank = h("p", { class: "blanks" }, "Name ", h("span", { class: "blank" }), " Date ", h("span", { class: "blank" }));
  return [blank, h("h1", {}, "The ", mark(about.letters, signs[0] || ""), ` of these words`),
    h("div", { class: "signs" }, signs.map((name) => h("p", {}, mark(about.letters, name), ` ${label(name)}: ${about.allophones[name]?.plain || ""}.`))),
    h("p", {}, `A true ${about.letters} is always acceptable.`),
    h("ol", { class: "columns" }, list.map((item) => h("li", {}, spelled(item), h("span", { class: "ipa" }, ` ${item.entry.ipa}`)))),
    links.length ? h("ol", { class: "columns" }, links.map((link) => h("li", {}, marked(link.text, link.marks), h("span", { class: "ipa" }, ` ${link.ipa}`)))) : "",
    round.length ? h("h2", {}, "Sort them") : "",
    round.length ? h("p", {}, "Say each word. Write it under what its ", about.letters, " is: ", round.map(({ entry }) => entry.word).join(", "), ".") : "",
    round.length ? h("table", { class: "sorting" }, h("tbody", {}, h("tr", {}, round.answers.map((name) => h("th", { scope: "col" }, mark(about.letters, name), ` ${label(name)}`))),
      h("tr", {}, round.answers.map(() => h("td", { class: "room" }))))) : "",
    lines.length ? h("h2", {}, `Say the lines; mark each ${about.letters} as you say it`) : "",
    lines.length ? h("ol", {}, lines.map((line) => h("li", {}, line))) : "",
    h("section", { class: "for-teacher" }, h("h2", {}, "For the teacher: the key"),
      h("ul", { class: "columns" }, round.answers.map((name) => h("li", {}, mark(about.letters, name), ` ${label(name)}: `,
        round.filter((one) => one.t.allophone === name).map((one) => one.entry.word).join(", "))))),
    credits()];
}

function otherOnPaper(name) {
  const heads = ROW_HEADS[name].filter((text) => text !== "choose");
  const rows = fitting(name).map((item) => { const line = ROWS[name](item); line.querySelector(".tick")?.remove(); return line; });
  return [h("h1", {}, TEXTS[name].title), h("p", {}, plural(rows.length, name.slice(0, -1), name)), table(heads, rows), credits()];
}

function paper() {
  const at = $("tabs").dataset.at;
  if (sheetOf) return sheet(sheetOf);
  if (printing === "chosen" || (!printing && at === "mine" && chosen.size)) {
    const [list, links] = [chosenItems(), chosenLinks()];
    return wordsOnPaper(list, `${plural(list.length + links.length, "word", "words")}, chosen by hand`, links);
  }
  if (TEXTS[at] && others[at].length) return otherOnPaper(at);
  return wordsOnPaper(found, [plural(found.length, "word", "words"), ...described()].join(", "));
}
window.addEventListener("beforeprint", () => $("paper").replaceChildren(...paper().filter(Boolean)));
window.addEventListener("afterprint", () => { printing = ""; sheetOf = null; $("paper").replaceChildren(); });
$("print").addEventListener("click", () => { printing = "found"; window.print(); });
$("print-kept").addEventListener("click", () => { printing = "chosen"; window.print(); });
$("sheet-kept").addEventListener("click", () => { sheetOf = [...chosen]; window.print(); });
