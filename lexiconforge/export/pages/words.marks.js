// The sound in a word: drawn on the screen, in brackets in a file.
const mark = (text, name, asked) => h("mark", asked ? { class: "asked" }
  : { "data-sign": about.allophones[name]?.sign || "line", "data-allophone": name }, text);

const marked = (text, marks, asked) => {
  const out = [];
  let done = 0;
  for (const [start, end, name] of marks) {
    if (end <= start || start < done) continue;
    out.push(text.slice(done, start), mark(text.slice(start, end), name, asked));
    done = end;
  }
  out.push(text.slice(done));
  return out.filter(Boolean);
};
const spans = (hits) => hits.filter((t) => t.letters).map((t) => [t.start, t.start + t.letters.length, t.allophone]);
const spelled = ({ entry, hits }, asked) => marked(entry.word, spans(hits), asked);

const bracketed = ({ entry, hits }) => {
  let out = "";
  let done = 0;
  for (const t of hits) {
    if (!t.letters) continue;
    out += `${entry.word.slice(done, t.start + t.letters.length)}[${about.allophones[t.allophone]?.symbol || ""}]`;
    done = t.start + t.letters.length;
  }
  return out + entry.word.slice(done);
};

const BEATS = { 0: "•", 1: "●", 2: "○" };
const dots = (stress) => Array.from(stress, (digit) => BEATS[digit] || "•").join("");
const beats = (stress) => h("span", { class: "beat" }, h("span", { "aria-hidden": "true" }, dots(stress)), ` ${stress}`);

const key = () => $("key").querySelector("ul").replaceChildren(
  ...tally(allTs.map((t) => t.allophone)).map((name) => h("li", {}, mark(about.letters, name), ` ${label(name)}`,
    about.allophones[name]?.plain ? `: ${about.allophones[name].plain}` : "")),
  h("li", {}, "● (1) the main stress, ○ (2) a lesser one, • (0) none"),
);
