// What was chosen, sets with a name, files, and words of one's own.
const chosen = new Set(stored("chosen", []).filter((word) => typeof word === "string"));
const sets = new Map(Object.entries(stored("sets", {})).filter(([, list]) => Array.isArray(list)));
const known = (text) => {
  const small = plain(text);
  return byWord.get(small)?.word ?? byLink.get(small)?.text;
};
const items = (names) => {
  const hits = new Map(found.map((item) => [item.entry, item]));
  const wanted = new Set(names.map((name) => name.toLowerCase()));
  return words.filter((entry) => wanted.has(wordOf(entry)))
    .map((entry) => hits.get(entry) || { entry, hits: entry.ts, rank: entry.rank }).sort((a, b) => a.rank - b.rank);
};
const chosenItems = () => items([...chosen]);
const chosenLinks = () => [...chosen].map((text) => byLink.get(text.toLowerCase())).filter(Boolean);

function keep() {
  store("chosen", [...chosen]);
  tellChosen();
}
function tellChosen() {
  const number = chosen.size;
  $("kept").hidden = !number;
  $("tab-mine").textContent = number ? `My words (${thousands(number)})` : "My words";
  $("kept-count").textContent = `${plural(number, "word", "words")} chosen`;
  $("print-kept").textContent = `Print what I chose (${thousands(number)})`;
  $("mine-count").textContent = number ? `${plural(number, "word", "words")}.` : "Nothing yet: choose words or links by their boxes, or add all that was found.";
  $("mine-list").replaceChildren(...[...chosen].map((name) => {
    const entry = byWord.get(name.toLowerCase());
    const link = byLink.get(name.toLowerCase());
    const shown_ = entry ? spelled({ entry, hits: entry.ts }) : link ? marked(link.text, link.marks) : [name, h("small", {}, " (not on this page)")];
    return h("li", {}, h("span", {}, shown_), " ", button("remove", () => {
      const next = $("mine-list").children[[...chosen].indexOf(name) + 1] ? [...chosen].indexOf(name) : 0;
      chosen.delete(name);
      refresh();
      ($("mine-list").children[next]?.querySelector("button") || $("name")).focus();
    }, { "aria-label": `remove ${name}` }));
  }));
  $("sets").replaceChildren(...[...sets].map(([name, list]) => h("li", { class: "line" }, h("strong", {}, name), ` ${plural(list.length, "word", "words")}`,
    button("Take instead", () => { chosen.clear(); addAll(list); say(`${name} is what you chose now.`); }, { "aria-label": `Take ${name} instead of what I chose` }),
    button("Add", () => { addAll(list); say(`${name} was added.`); }, { "aria-label": `Add ${name} to what I chose` }),
    button("Forget", () => { sets.delete(name); keepSets(); say(`${name} is forgotten.`); $("name").focus(); }, { "aria-label": `Forget the set ${name}` }))));
  $("sets-file").disabled = !sets.size && !number;
}
const keepSets = () => {
  if (!store("sets", Object.fromEntries(sets))) say("This browser keeps nothing for a page like this; save the sets as a file.");
  tellChosen();
};
function addAll(names) {
  for (const name of names) chosen.add(known(name) ?? name);
  refresh();
}
const refresh = () => { keep(); choose(); showOthers(); };

for (const id of ["rows", "links"]) {
  $(id).addEventListener("change", (event) => {
    const line = event.target.closest("tr[data-n]");
    if (!line || event.target.type !== "checkbox") return;
    const name = id === "rows" ? words[line.dataset.n].word : others.links[line.dataset.n].text;
    if (event.target.checked) chosen.add(name); else chosen.delete(name);
    line.classList.toggle("on", event.target.checked);
    keep();
  });
}
$("add").addEventListener("click", () => { addAll(found.map((item) => item.entry.word)); say(`${plural(found.length, "word", "words")} added to what you chose.`); });
$("untick").addEventListener("click", () => {
  const before = [...chosen];
  chosen.clear();
  refresh();
  say("Nothing is chosen now. ", button("Take it back", () => { addAll(before); say("It is chosen again."); }));
  $("said").querySelector("button").focus();
});
$("naming").addEventListener("submit", (event) => {
  event.preventDefault();
  const name = $("name").value.trim();
  if (!name || !chosen.size) { say(name ? "Nothing is chosen yet." : "Give the set a name."); return; }
  sets.set(name, [...chosen]);
  $("name").value = "";
  keepSets();
  say(`${name} is kept: ${plural(chosen.size, "word", "words")}.`);
});

// A spreadsheet must not take text for a formula: such text gets an apostrophe, as in the CSV files of a build.
const cell = (value) => {
  const text = typeof value === "number" ? String(value)
    : (value ?? "").replace(/((?:^|[;\t\r\n]) *)('*)(?=[=+\-@\t\r\n＝＋－＠])/g, "$1'$2");
  return /[",;\t\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
};
const download = (name, lines) => {
  const text = `\uFEFF${lines.map((line) => line.map(cell).join(",")).join("\n")}\n`;
  const link = h("a", { href: URL.createObjectURL(new Blob([text], { type: "text/csv" })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
};
const HEADS = ["place", "word", "marked", "ipa", "syllables", "stress", "rank", "zipf", "level",
  "part_of_speech", "environment", "allophone", "also_heard", "family", "example"];
const saved = (list) => [HEADS, ...list.map((item, n) => {
  const { entry, hits } = item;
  const joined = (name) => unique(hits.flatMap((t) => t[name].split("; ")).filter(Boolean)).join("; ");
  return [n + 1, entry.word, bracketed(item), entry.ipa, entry.syllables, entry.stress, entry.rank, entry.zipf, entry.level,
    entry.part_of_speech, joined("environment"), joined("allophone"), joined("heard"), entry.family, entry.example];
})];
$("save").addEventListener("click", () => download("found-words.csv", saved(found)));
$("save-kept").addEventListener("click", () => {
  // Links and words of one's own are no words of this page: with them the list has the one column that all have.
  const list = chosenItems();
  download("my-words.csv", unique(list.map(({ entry }) => entry.word)).length === chosen.size ? saved(list) : [["word"], ...[...chosen].map((name) => [name])]);
});
$("sets-file").addEventListener("click", () => download("my-sets.csv", [["set", "word"],
  ...[...(sets.size ? sets : new Map([["chosen", [...chosen]]]))].flatMap(([name, list]) => list.map((word) => [name, word]))]));

function cells(text) {
  const first = text.split(/\r?\n/, 1)[0];
  const sign = [",", ";", "\t"].sort((a, b) => first.split(b).length - first.split(a).length)[0];
  const rows = [[]];
  let inside = false;
  let value = "";
  const end = () => { rows[rows.length - 1].push(value); value = ""; };
  for (let n = 0; n < text.length; n += 1) {
    const letter = text[n];
    if (inside) {
      if (letter !== '"') value += letter;
      else if (text[n + 1] === '"') { value += '"'; n += 1; } else inside = false;
    } else if (letter === '"' && !value) inside = true;
    else if (letter === sign) end();
    else if (letter === "\n") { end(); rows.push([]); } else if (letter !== "\r") value += letter;
  }
  end();
  return rows.filter((line) => line.some(Boolean)).map((line) => line.map((one) => one.replace(/^'(?='*[=+\-@＝＋－＠])/, "").trim()));
}
// A file of sets, of a list, of links, of a lesson, or plain words one a line.
function setsOf(text, title) {
  const [heads, ...lines] = cells(text.replace(/^\uFEFF/, ""));
  const at = (name) => (heads || []).findIndex((head) => head.toLowerCase() === name);
  const [set, word, first, second] = ["set", "word", "first", "second"].map(at);
  const item = word >= 0 ? word : at("item");
  const read = new Map();
  const put = (name, one) => { if (one) read.set(name, [...(read.get(name) || []), one]); };
  if (item >= 0) for (const line of lines) put(set >= 0 ? line[set] || title : title, line[item]);
  else if (first >= 0 && second >= 0) for (const line of lines) put(title, `${line[first]} ${line[second]}`);
  else for (const line of text.replace(/^\uFEFF/, "").split(/\r?\n/)) if (!line.startsWith("#")) put(title, line.trim());
  return read;
}
$("open").addEventListener("change", async () => {
  const [file] = $("open").files;
  if (!file) return;
  const read = setsOf(await file.text(), file.name.replace(/\.\w+$/, ""));
  for (const [name, list] of read) sets.set(name, unique(list));
  $("open").value = "";
  keepSets();
  say(read.size ? `Opened: ${[...read].map(([name, list]) => `${name} (${plural(unique(list).length, "word", "words")})`).join(", ")}.` : "No words in this file.");
});

$("pasting").addEventListener("submit", (event) => {
  event.preventDefault();
  const typed = plain($("own").value).match(/[\p{L}][\p{L}'-]*/gu) || [];
  const [here, not] = [[], []];
  for (const word of unique(typed)) (known(word) ? here : not).push(known(word) ?? word);
  const list = (names) => names.map((name) => h("li", {}, spelled({ entry: byWord.get(name.toLowerCase()), hits: byWord.get(name.toLowerCase()).ts })));
  $("known").hidden = false;
  $("known").replaceChildren(
    h("p", {}, `${plural(here.length, "word", "words")} of ${thousands(here.length + not.length)} known here.`),
    here.length ? h("ul", { class: "words" }, list(unique(here))) : "",
    here.length ? h("p", {}, button(`Add these ${thousands(unique(here).length)} to what I chose`, () => { addAll(unique(here)); say("Added."); })) : "",
    not.length ? h("p", {}, `Not on this page, for want of a ${about.letters} or among the rarer words: ${not.join(", ")}.`) : "",
  );
});
