// What is typed: letters, IPA in several ways of writing, * for anything, two words that link, a name of the sound.
const folded = (text, { tight }) => {
  let out = text.toLowerCase().normalize("NFC");
  if (!tight) for (const sign of about.extra) out = out.replaceAll(sign, "");
  for (const { written, sign } of about.same) out = out.replaceAll(written, sign);
  return out;
};
const wordOf = (entry) => (entry.small ??= entry.word.toLowerCase());
const loose = (entry) => (entry.loose ??= folded(entry.ipa, { tight: false }));
const tight = (entry) => (entry.tight ??= folded(entry.ipa, { tight: true }));

const plain = (text) => text.trim().toLowerCase().replaceAll("’", "'").replace(/\s+/g, " ");
const named = (text) => Object.keys(about.allophones).find((name) => {
  const { label: own, aliases } = about.allophones[name];
  return [name, own, ...aliases].some((one) => one.toLowerCase() === text.replaceAll("-", " "));
});

const glob = (text) => new RegExp(`^${text.split("*").map((part) => part.replace(/[\\^$.*+?()[\]{}|]/g, "\\$&")).join(".*")}$`, "u");

function asked(raw) {
  const text = plain(raw);
  if (!text) return null;
  // What stands for a sign on a keyboard stands in no word.
  let typed = text;
  for (const [written, sign] of Object.entries(about.typed)) typed = typed.replaceAll(written, sign);
  const exact = about.extra.some((sign) => typed.includes(sign) && sign !== "ː") || typed.startsWith("'");
  const ipa = folded(typed.replace(/^'/, "ˈ"), { tight: exact });
  const sounds = exact ? tight : loose;
  const [letters, signs] = text.includes("*") ? [glob(text), glob(ipa)] : [null, null];
  return {
    text,
    ipa,
    fits: (entry) => (letters ? letters.test(wordOf(entry)) || signs.test(sounds(entry))
      : wordOf(entry).includes(text) || (ipa !== "" && sounds(entry).includes(ipa))),
  };
}

// Levenshtein's distance, given up where it grows beyond the most that is wanted.
function distance(a, b, most) {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  let before = Array.from({ length: b.length + 1 }, (_, n) => n);
  for (let i = 1; i <= a.length; i += 1) {
    const line = [i];
    let least = i;
    for (let j = 1; j <= b.length; j += 1) {
      line[j] = Math.min(before[j] + 1, line[j - 1] + 1, before[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1));
      least = Math.min(least, line[j]);
    }
    if (least > most) return most + 1;
    before = line;
  }
  return before[b.length];
}

function nearest(query, count = 5) {
  const letters = /^[a-z' *]+$/.test(query.text);
  const text = (letters ? query.text : query.ipa).replaceAll("*", "");
  const pool = query.text.includes(" ") ? others.links.map((link) => [link.text, link.text, 0])
    : words.flatMap((entry) => (letters ? [[wordOf(entry), entry.word, entry.rank], [loose(entry), entry.word, entry.rank]]
      : [[loose(entry), entry.word, entry.rank]]));
  const most = Math.max(2, Math.ceil(text.length / 3));
  const found = pool.map(([form, word, rank]) => [distance(text, form, most), rank, word]).filter(([far]) => far <= most);
  return unique(found.sort((a, b) => a[0] - b[0] || a[1] - b[1]).map(([, , word]) => word)).slice(0, count);
}
