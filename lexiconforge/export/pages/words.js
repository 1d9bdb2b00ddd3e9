"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const { columns, rows } = JSON.parse($("data").textContent);
  const sound = JSON.parse($("sound").textContent);
  const at = Object.fromEntries(columns.map((name, n) => [name, n]));
  const PAGE = 100;
  const LEVELS = ["A1", "A2", "B1", "B2", "C1", "C2"];

  // One entry a word, with its t's; the rows of a word stand together.
  const words = [];
  for (const row of rows) {
    let last = words[words.length - 1];
    if (!last || last.word !== row[at.word]) {
      last = { number: words.length, ts: [] };
      for (const name of ["word", "ipa", "syllables", "stress", "rank", "zipf", "level", "part_of_speech", "family"]) {
        last[name] = row[at[name]];
      }
      // The dictionary's 2 is a lesser stress: a pattern is asked for by where the main one is.
      last.beat = last.stress.includes("1") ? last.stress.replaceAll("2", "0") : last.stress;
      words.push(last);
    }
    last.ts.push({
      start: row[at.letters_start], letters: row[at.letters], allophone: row[at.allophone],
      environment: row[at.environment], heard: row[at.also_heard], rule: row[at.rule], source: row[at.source],
    });
  }

  const KEEP = `lexiconforge words with a ${sound.letters}`;
  const ticked = new Set();
  try { for (const word of JSON.parse(localStorage.getItem(KEEP) || "[]")) ticked.add(word); } catch { /* kept for this visit only */ }
  const keep = () => { try { localStorage.setItem(KEEP, JSON.stringify([...ticked])); } catch { /* likewise */ } };

  const escaped = (text) => String(text).replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
  const thousands = (number) => number.toLocaleString("en-US");
  const plural = (number, one, many) => `${thousands(number)} ${number === 1 ? one : many}`;
  const unique = (values) => [...new Set(values)];

  const fill = (id, options) => {
    $(id).innerHTML = options.map(([value, text]) => `<option value="${escaped(value)}">${escaped(text)}</option>`).join("");
  };
  const ts = words.flatMap((entry) => entry.ts);
  const count = (values) => {
    const counts = new Map();
    for (const value of values) counts.set(value, (counts.get(value) || 0) + 1);
    return [...counts].sort((a, b) => b[1] - a[1]).map(([value]) => value);
  };
  const article = (name) => (/^[aeiou]/.test(name) ? `an ${name}` : `a ${name}`);
  const place = (name) => sound.environments[name] || name;
  const label = (name) => sound.allophones[name]?.label || name;
  const marking = (name) => `data-sign="${escaped(sound.allophones[name]?.sign || "line")}" data-allophone="${escaped(name)}"`;
  fill("allophone", [["", "any sound"], ...count(ts.map((t) => t.allophone)).map((name) => [name, article(label(name))])]);
  fill("environment", [["", "anywhere"], ...count(ts.map((t) => t.environment)).map((name) => [name, place(name)])]);
  const most = words.reduce((top, entry) => Math.max(top, entry.syllables), 1);
  fill("syllables", [["", "any number of syllables"], ...Array.from({ length: most }, (_, n) => [n + 1, plural(n + 1, "syllable", "syllables")])]);
  const example = new Map();
  for (const entry of words) if (!example.has(entry.beat)) example.set(entry.beat, entry.word);
  fill("stress", [["", "any stress"], ...[...example].sort((a, b) => a[0].length - b[0].length || (a[0] < b[0] ? 1 : -1))
    .map(([beat, word]) => [beat, `the stress of ${word} (${beat})`])]);
  fill("level", [["", "any level"], ...LEVELS.map((name) => [name, `level ${name}`])]);
  fill("top-level", LEVELS.map((name) => [name, name]));
  const rarest = Math.max(1, ...words.map((entry) => entry.rank));
  fill("common", [["", "all words here"], ...[500, 1000, 2000, 3000, 5000, 10000, 15000].filter((rank) => rank < rarest)
    .map((rank) => [rank, `the commonest ${thousands(rank)} of English`])]);

  const COLUMNS = [
    ["", "tick", "plain"], ["word", "word", ""], ["", "IPA", "roomy"], ["environment", "where", ""], ["allophone", `the ${sound.letters} is`, ""],
    ["syllables", "syllables", "number"], ["level", "level", ""], ["rank", "rank", "number"], ["", "more", "plain"],
  ];
  $("heads").innerHTML = COLUMNS.map(([key, text, look]) => (key
    ? `<th scope="col" class="${look}" data-key="${key}"><button type="button">${text}</button><span class="paper" aria-hidden="true">${text}</span></th>`
    : `<th scope="col" class="${look}"><span class="${text === "tick" || text === "more" ? "unseen" : ""}">${text}</span></th>`)).join("");

  const usual = { key: "rank", up: true };
  let order = { ...usual };
  let found = [];
  let shown = PAGE;

  const values = () => Object.fromEntries(
    ["allophone", "environment", "syllables", "stress", "level", "top-level", "common"].map((id) => [id, $(id).value]),
  );
  const fits = (t, wanted) => (!wanted.allophone || t.allophone === wanted.allophone)
    && (!wanted.environment || t.environment === wanted.environment);

  const sortValue = ({ entry, hits }) => {
    if (order.key === "environment") return place(hits[0].environment);
    if (order.key === "allophone") return label(hits[0].allophone);
    return entry[order.key];
  };
  const compare = (a, b) => {
    const [one, other] = [sortValue(a), sortValue(b)];
    // A word without a level stands last, whichever way.
    if ((one === "") !== (other === "")) return one === "" ? 1 : -1;
    const by = one < other ? -1 : one > other ? 1 : 0;
    return (order.up ? by : -by) || a.entry.rank - b.entry.rank;
  };

  function choose() {
    const wanted = values();
    const text = $("search").value.trim().toLowerCase().replaceAll("’", "'");
    const [low, high] = [LEVELS.indexOf(wanted.level), LEVELS.indexOf(wanted["top-level"])];
    const families = new Set();
    found = [];
    for (const entry of words) {
      if (wanted.syllables && entry.syllables !== Number(wanted.syllables)) continue;
      if (wanted.stress && entry.beat !== wanted.stress) continue;
      if (wanted.level && (!entry.level || LEVELS.indexOf(entry.level) < low || LEVELS.indexOf(entry.level) > high)) continue;
      if (wanted.common && entry.rank > Number(wanted.common)) continue;
      if (text && !entry.word.includes(text) && !entry.ipa.includes(text)) continue;
      if ($("only").checked && !ticked.has(entry.word)) continue;
      const hits = entry.ts.filter((t) => fits(t, wanted));
      if (!hits.length) continue;
      if ($("one").checked) {
        if (families.has(entry.family)) continue;
        families.add(entry.family);
      }
      found.push({ entry, hits });
    }
    $("to-level").hidden = !wanted.level;
    sort();
  }

  function sort() {
    found.sort(compare);
    for (const head of $("heads").children) {
      if (!head.dataset.key) continue;
      if (head.dataset.key === order.key) head.setAttribute("aria-sort", order.up ? "ascending" : "descending");
      else head.removeAttribute("aria-sort");
    }
    shown = PAGE;
    render();
  }

  function spelled({ entry, hits }) {
    let out = "";
    let done = 0;
    for (const t of hits) {
      if (!t.letters) continue;
      out += escaped(entry.word.slice(done, t.start));
      out += `<mark ${marking(t.allophone)}>${escaped(t.letters)}</mark>`;
      done = t.start + t.letters.length;
    }
    return out + escaped(entry.word.slice(done));
  }

  const bracketed = ({ entry, hits }) => {
    let out = "";
    let done = 0;
    for (const t of hits) {
      if (!t.letters) continue;
      out += `${entry.word.slice(done, t.start + t.letters.length)}[${sound.allophones[t.allophone]?.symbol || ""}]`;
      done = t.start + t.letters.length;
    }
    return out + entry.word.slice(done);
  };

  function row(item) {
    const { entry, hits } = item;
    const on = ticked.has(entry.word);
    const name = escaped(entry.word);
    return `<tr data-n="${entry.number}"${on ? ' class="on"' : ""}>`
      + `<td class="tick"><input type="checkbox" aria-label="tick ${name}"${on ? " checked" : ""}></td>`
      + `<th scope="row">${spelled(item)}</th><td class="ipa">${escaped(entry.ipa)}</td>`
      + `<td class="wide where">${escaped(unique(hits.map((t) => place(t.environment))).join("; "))}</td>`
      + `<td class="wide what">${escaped(unique(hits.map((t) => label(t.allophone))).join("; "))}</td>`
      + `<td class="number aside">${entry.syllables}</td><td class="aside">${escaped(entry.level)}</td>`
      + `<td class="number aside">${thousands(entry.rank)}</td>`
      + `<td class="open"><button type="button" aria-expanded="false" aria-label="more on ${name}">more</button></td></tr>`;
  }

  function more(entry) {
    const lines = entry.ts.map((t) => {
      const letters = t.letters ? `<mark ${marking(t.allophone)}>${escaped(t.letters)}</mark>` : escaped(sound.letters);
      const heard = t.heard ? ` Also heard: ${escaped(t.heard)}.` : "";
      return `<p>${letters}: ${escaped(label(t.allophone))}, ${escaped(place(t.environment))}.${heard} Rule: ${escaped(t.rule)} (${escaped(t.source)}).</p>`;
    });
    const facts = [entry.part_of_speech, entry.level && `level ${entry.level}`, `stress ${entry.stress}`,
      `rank ${thousands(entry.rank)}`, `Zipf ${entry.zipf}`, `family of ${entry.family}`];
    return `${lines.join("")}<p>${escaped(facts.filter(Boolean).join(" · "))}</p>`;
  }

  function render(items = found, limit = shown) {
    $("rows").innerHTML = items.slice(0, limit).map(row).join("");
    $("none").hidden = found.length > 0;
    const left = found.length - limit;
    $("rest").hidden = left <= 0;
    $("rest").textContent = `Show ${thousands(Math.min(left, 10 * PAGE))} more`;
    tell();
  }

  const taken = () => {
    if (!ticked.size) return found;
    const hits = new Map(found.map((item) => [item.entry.word, item]));
    return words.filter((entry) => ticked.has(entry.word)).map((entry) => hits.get(entry.word) || { entry, hits: entry.ts });
  };

  function tell() {
    const here = words.reduce((sum, entry) => sum + ticked.has(entry.word), 0);
    $("count").textContent = `${plural(found.length, "word", "words")}${here ? `, ${thousands(here)} ticked` : ""}`;
    const what = here ? `${thousands(here)} ticked` : `all ${thousands(found.length)}`;
    for (const [id, verb] of [["print", "Print"], ["save", "Save as CSV:"]]) {
      $(id).textContent = `${verb} ${what}`;
      $(id).disabled = !here && !found.length;
      if (id === "print" && !here && found.length > 200) $(id).textContent += ` (about ${Math.ceil(found.length / 35)} pages)`;
    }
    $("untick").hidden = !here;
    if (!here) ticked.clear();
  }

  $("ask").addEventListener("input", choose);
  $("ask").addEventListener("submit", (event) => event.preventDefault());
  $("ask").addEventListener("reset", () => { order = { ...usual }; setTimeout(() => { last(); choose(); }); });
  const last = () => { $("top-level").value = "C2"; };
  $("heads").addEventListener("click", (event) => {
    const key = event.target.closest("th[data-key]")?.dataset.key;
    if (!key) return;
    order = { key, up: order.key === key ? !order.up : true };
    sort();
  });
  $("rows").addEventListener("change", (event) => {
    const line = event.target.closest("tr");
    const { word } = words[line.dataset.n];
    if (event.target.checked) ticked.add(word); else ticked.delete(word);
    line.classList.toggle("on", event.target.checked);
    keep();
    tell();
  });
  $("rows").addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    const line = button.closest("tr");
    const open = button.getAttribute("aria-expanded") === "true";
    button.setAttribute("aria-expanded", String(!open));
    button.textContent = open ? "more" : "less";
    if (open) line.nextElementSibling.remove();
    else line.insertAdjacentHTML("afterend", `<tr class="more"><td colspan="9">${more(words[line.dataset.n])}</td></tr>`);
  });
  $("rest").addEventListener("click", () => {
    const first = shown;
    shown += 10 * PAGE;
    render();
    $("rows").querySelectorAll("tr[data-n] input")[first]?.focus();
  });
  $("untick").addEventListener("click", () => { ticked.clear(); keep(); choose(); $("count").focus(); });

  // A spreadsheet must not take text for a formula: such text gets an apostrophe, as in the CSV files of a build.
  const cell = (value) => {
    const text = typeof value === "number" ? String(value)
      : (value ?? "").replace(/((?:^|[;\t\r\n]) *)('*)(?=[=+\-@\t\r\n＝＋－＠])/g, "$1'$2");
    return /[",;\t\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  $("save").addEventListener("click", () => {
    const heads = ["place", "word", "marked", "ipa", "syllables", "stress", "rank", "zipf", "level",
      "part_of_speech", "environment", "allophone", "also_heard", "family"];
    const lines = taken().map((item, n) => {
      const { entry, hits } = item;
      const joined = (key) => unique(hits.flatMap((t) => t[key].split("; ")).filter(Boolean)).join("; ");
      return [n + 1, entry.word, bracketed(item), entry.ipa, entry.syllables, entry.stress, entry.rank, entry.zipf,
        entry.level, entry.part_of_speech, joined("environment"), joined("allophone"), joined("heard"), entry.family].map(cell).join(",");
    });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([`\uFEFF${[heads.join(","), ...lines].join("\n")}\n`], { type: "text/csv" }));
    link.download = ticked.size ? "ticked-words.csv" : "chosen-words.csv";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
  $("print").addEventListener("click", () => window.print());
  window.addEventListener("beforeprint", () => {
    const items = taken();
    const wanted = values();
    const said = ["allophone", "environment", "syllables", "stress"].filter((id) => wanted[id]).map((id) => $(id).selectedOptions[0].text);
    if (wanted.level) said.push(wanted.level === wanted["top-level"] ? `level ${wanted.level}` : `levels ${wanted.level} to ${wanted["top-level"]}`);
    if (wanted.common) said.push(`among ${$("common").selectedOptions[0].text}`);
    if ($("search").value.trim()) said.push(`“${$("search").value.trim()}”`);
    if ($("one").checked) said.push("one word a family");
    $("chosen").textContent = [plural(items.length, "word", "words"), ...(ticked.size ? ["ticked by hand"] : said)].join(", ");
    render(items, items.length);
  });
  window.addEventListener("afterprint", () => render());

  $("key").querySelector("ul").innerHTML = count(ts.map((t) => t.allophone))
    .map((name) => `<li><mark ${marking(name)}>${escaped(sound.letters)}</mark> ${escaped(label(name))}</li>`).join("");
  last();
  choose();
})();
