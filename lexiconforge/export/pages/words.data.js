// What the build gave: tables by column, cells that repeat as numbers of a list of values.
const $ = (id) => document.getElementById(id);
const about = JSON.parse($("sound").textContent);
const LEVELS = ["A1", "A2", "B1", "B2", "C1", "C2"];
const PAGE = 50;
const MORE = 200;

const unpacked = (table) => {
  const names = Object.keys(table?.columns || {});
  const cells = names.map((name) => {
    const column = table.columns[name];
    return Array.isArray(column) ? column : column.index.map((n) => column.values[n]);
  });
  return Array.from({ length: cells[0]?.length || 0 }, (_, n) => Object.fromEntries(names.map((name, c) => [name, cells[c][n]])));
};
const given = JSON.parse($("data").textContent);

// One entry a word as it is said, with its occurrences of the sound: the two readings of a homograph are two.
const words = [];
const byWord = new Map();
const readings = new Map();
for (const row of unpacked(given.cards)) {
  const said = `${row.word} ${row.ipa}`;
  let entry = readings.get(said);
  if (!entry) {
    entry = { number: words.length, ts: [] };
    for (const name of ["word", "ipa", "syllables", "stress", "rank", "zipf", "level", "part_of_speech", "family", "example"]) {
      entry[name] = row[name] ?? "";
    }
    // The dictionary's 2 is a lesser stress: a pattern is asked for by where the main one is.
    entry.beat = entry.stress.includes("1") ? entry.stress.replaceAll("2", "0") : entry.stress;
    words.push(entry);
    readings.set(said, entry);
    if (!byWord.has(entry.word.toLowerCase())) byWord.set(entry.word.toLowerCase(), entry);
  }
  entry.ts.push({
    start: row.letters_start, letters: row.letters, allophone: row.allophone, environment: row.environment,
    heard: row.also_heard || "", shares: row.heard || "", counted: row.heard_source || "", rule: row.rule, source: row.source,
  });
}
const allTs = words.flatMap((entry) => entry.ts);
// The others: texts with marks, each an array of [start, end, allophone].
const others = Object.fromEntries(["links", "contrasts", "lines", "lessons"].map((name) => [name, unpacked(given[name])]));
const byLink = new Map(others.links.map((link) => [link.text.toLowerCase(), link]));

const english = new Intl.NumberFormat("en-US");
const thousands = (number) => english.format(number);
const plural = (number, one, many) => `${thousands(number)} ${number === 1 ? one : many}`;
// Paper takes about so many rows a page; a long print is said beforehand.
const ROWS_OF_PAPER = 30;
const printText = (number) => `Print these ${thousands(number)}${number > 5 * ROWS_OF_PAPER ? ` (about ${Math.ceil(number / ROWS_OF_PAPER)} pages)` : ""}`;
const unique = (values) => [...new Set(values)];
const article = (name) => (/^[aeiou]/.test(name) ? `an ${name}` : `a ${name}`);
const place = (name) => about.environments[name] || name;
const label = (name) => about.allophones[name]?.label || name;
const tally = (values) => {
  const counts = new Map();
  for (const value of values) counts.set(value, (counts.get(value) || 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1]).map(([value]) => value);
};
const shuffled = (values) => {
  const out = [...values];
  for (let n = out.length - 1; n > 0; n -= 1) {
    const other = Math.floor(Math.random() * (n + 1));
    [out[n], out[other]] = [out[other], out[n]];
  }
  return out;
};

// Everything that is shown is made of nodes and text: nothing that was typed or built can be taken for markup.
const h = (tag, attributes, ...children) => {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return node;
};
const button = (text, press, attributes) => h("button", { type: "button", onclick: press, ...attributes }, text);
const say = (...told) => $("said").replaceChildren(...told);

// A guarded place in the browser for what belongs to this device; each sound has its own.
const KEEP = `lexiconforge words with a ${about.letters}`;
const stored = (name, otherwise) => {
  try { return JSON.parse(localStorage.getItem(`${KEEP}: ${name}`)) ?? otherwise; } catch { return otherwise; }
};
const store = (name, value) => {
  try { localStorage.setItem(`${KEEP}: ${name}`, JSON.stringify(value)); return true; } catch { return false; }
};
