// Words that look like those of several languages and scripts, made of syllables. None of them
// needs to mean anything. It knows no HTML.

const list = (text) => text.split(" ");

/** Syllables are an onset, a nucleus and a coda; an underscore stands for nothing. */
const parts = (onsets, nuclei, codas, syllables) => ({
  onsets: list(onsets),
  nuclei: list(nuclei),
  codas: list(codas),
  syllables,
});

/** Where a word is no sequence of syllables, one is taken from this list as it stands. */
const pieces = (text, syllables) => ({ ...parts("_", text, "_", syllables) });

/**
 * By tag: how words are made, how many syllables they have, and what stands between them.
 * `capital` writes that share of words with a capital letter.
 */
export const TONGUES = {
  en: { ...parts("_ b br c cl d f fl g gr h l m n p pl qu r s sh st str t th tr w wh", "a e i o u ea oo ou ai ow", "_ _ b ck d ft l ll m n nd ng nt p r rd s st t th", [1, 1, 2, 2, 3]), capital: 0.08 },
  de: { ...parts("_ b bl br d dr f fl g gr h k kl l m n pf qu r s sch schl schw sp st str t tr v w z", "a e i o u ä ö ü au ei ie eu", "_ _ ch cht f l ll m n nd ng r rt s ss ß st t tz", [1, 2, 2, 3, 4, 6, 8]), capital: 0.35 },
  fr: { ...parts("_ b bl c ch cl d f fr g gr j l m n p pl qu r s t tr v", "a e é è ê i o u eau ou oi ai eu", "_ _ _ s t r l n x ge lle tte", [1, 2, 2, 3]), capital: 0.06 },
  es: { ...parts("_ b c ch d f g gu h j l ll m n ñ p pr r s t tr v y z", "a e i o u á é í ó ú ia ie ue", "_ _ _ n r s l d", [1, 2, 3, 3, 4]), capital: 0.06 },
  fi: { ...parts("_ h j k l m n p r s t v", "a e i o u y ä ö aa ee ii oo uu yy ää ie uo yö", "_ _ n s t l r", [2, 3, 3, 4, 5, 6]), capital: 0.06 },
  pl: { ...parts("_ b c cz d dz g k kr l ł m n p prz r rz s sz szcz ś t w wz z ź ż", "a ą e ę i o ó u y ie ia", "_ _ _ ć k l ł n ń r sk st ść w", [1, 2, 3, 3]), capital: 0.06 },
  el: { ...parts("_ β γ δ ζ θ κ λ μ ν ξ π ρ σ τ φ χ ψ στρ", "α ε η ι ο υ ω ά έ ή ί ό ύ ώ αι ει ου", "_ _ _ ν ς ρ", [1, 2, 3, 4]), capital: 0.08 },
  ru: { ...parts("_ б в г д ж з к л м н п пр р с ст т ф х ц ч ш щ", "а е ё и о у ы э ю я", "_ _ й к л м н р с т ть в", [1, 2, 3, 4]), capital: 0.08 },
  he: { ...pieces("א ב ג ד ה ו ז ח ט י כ ל מ נ ס ע פ צ ק ר ש ת שָׁ לוֹ", [2, 3, 4, 5]), capital: 0 },
  ar: { ...pieces("ا ب ت ث ج ح خ د ر ز س ش ص ط ع غ ف ق ك ل م ن ه و ي لَ مُ", [2, 3, 4, 5]), capital: 0 },
  zh: { ...pieces("海 港 船 水 潮 风 灯 塔 鱼 鸟 天 地 山 石 木 火 日 月 人 大 小 上 下 东 西 南 北 的 是 在 有 了 ， 。", [4, 8, 12, 20]), capital: 0 },
  ja: { ...pieces("あ い う え か き く け こ さ し す た ち つ な に の は ひ ま み も や ゆ よ ら り る れ を ん カ ナ ト ー 海 港 船 、 。", [4, 8, 12, 20]), capital: 0 },
  th: { ...pieces("กา ขา คำ งาน จะ ชา ดี ตา ที่ นา น้ำ บ้าน ปลา มา เรือ ลม วัน ไป ใน ได้", [3, 5, 8]), capital: 0 },
  ko: { ...pieces("바 다 항 구 배 물 바람 등 대 고 기 새 하 늘 땅 산 돌 나무 불 사 람 이 가 는 을 에", [1, 2, 3, 4]), capital: 0 },
};

/** What stands in some texts of any language: numbers, units, addresses, signs, rare letters. */
const ODDITIES = [
  (random) => `${random.between(1, 999)}`,
  (random) => `${random.between(1, 99)} ${random.pick(["km", "kg", "m/s", "°C", "%", "kWh"])}`,
  (random) => `${random.between(1, 99)}\u00a0${random.pick(["km", "mm", "€", "°C"])}`,
  (random) => `${random.between(1, 23)}:${random.between(10, 59)}`,
  (random) => `${random.between(1, 9)}.${random.between(100, 999)}.${random.between(100, 999)},50`,
  (random) => `§\u00a0${random.between(1, 40)}`,
  () => "https://archive.example.org/harbour/log/2031-04-01?lamp=north&page=12#tide",
  () => "keeper@lamp.example.org",
  () => "/usr/share/harbour/charts/inner_basin.v2.txt",
  () => "e\u0301te\u0301 ko\u0308nnen a\u030angstro\u0308m z\u0335\u0321\u031b\u0345a\u0300\u0301\u0302\u0303",
  () => "well-known half-\u2011built north–south—so",
  () => "Donau\u00addampf\u00adschiff\u00adfahrts\u00adge\u00adsell\u00adschaft",
  () => "\u00adun\u00ad\u00adsound\u00ad",
  () => "x".repeat(120),
  () => "Rindfleischetikettierungsüberwachungsaufgabenübertragungsgesetz",
  () => "∑ ≈ ½ × № ™ “quoted” ‘so’ «là» … † ‡ • → ☂ ⚓",
  () => "GROẞBUCHSTABEN ﬁnd ﬀ Ⅷ ①",
];

/** One word of a language. */
export function wordOf(tag, random) {
  const tongue = TONGUES[tag];
  const text = (from) => random.pick(from).replace("_", "");
  const syllables = random.pick(tongue.syllables);
  let word = "";
  for (let made = 0; made < syllables; made += 1) {
    const last = made + 1 === syllables;
    word += text(tongue.onsets) + text(tongue.nuclei) + (last || random.chance(0.3) ? text(tongue.codas) : "");
  }
  return random.chance(tongue.capital) ? word[0].toUpperCase() + word.slice(1) : word;
}

/** So many words as a list, some with punctuation after them, a few of them oddities. */
export function wordsOf(tag, random, count) {
  return Array.from({ length: count }, () => {
    if (random.chance(0.015)) {
      return random.pick(ODDITIES)(random);
    }
    return wordOf(tag, random) + (random.chance(0.14) ? random.pick([",", ".", ".", ";", ":", "!", "?"]) : "");
  });
}
