// Lengths as the importer reads them: its own patterns and words, handed over as data.
const makeLengths = (given) => {
  const one = new RegExp(`^(?:${given.one})$`);
  const both = new RegExp(`^(?:${given.both})$`);

  const plain = (text) => [...text].map((sign) => given.signs[sign] ?? sign).join('')
    .toLowerCase().replaceAll("''", '"').trim().split(/\s+/).join(' ');

  const number = (text) => {
    if (!text.includes('/')) return Number(text.replace(',', '.'));
    const at = text.lastIndexOf(' ');
    const [top, bottom] = text.slice(at + 1).split('/').map(Number);
    return Number(at < 0 ? 0 : text.slice(0, at)) + top / bottom;
  };

  const feetIn = (unit, pace) => (unit === 'paces' ? pace : given.feet[unit]);

  // Feet, or null for what is not a length.
  const feet = (text, unit, pace) => {
    const typed = plain(text);
    if ([...typed].length > given.longest_text) return null;
    let match = one.exec(typed);
    if (match) {
      if (match[2] === undefined) return number(match[1]) * feetIn(unit, pace);
      if (!Object.hasOwn(given.words, match[2])) return null;
      return number(match[1]) * feetIn(given.words[match[2]], pace);
    }
    match = both.exec(typed);
    if (!match) return null;
    const inches = number(match[2]);
    return inches < 12 ? number(match[1]) + inches / 12 : null;
  };

  const isBare = (text) => {
    const match = one.exec(plain(text));
    return match !== null && match[2] === undefined;
  };

  // Feet as a file holds them: a millionth of a foot, and never 0 for something.
  const written = (value) => {
    const digits = value < 0.001 ? 20 : 6;
    return value.toFixed(digits).replace(/\.?0+$/, '');
  };

  return { feet, isBare, written };
};
