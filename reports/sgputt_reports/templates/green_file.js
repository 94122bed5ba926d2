// The log as a file: a row a set, in the columns that the importer takes.
const cleanText = (text) => text.normalize('NFC').split(/\s+/).join(' ')
  .replace(/[\p{Cc}\p{Cs}]|(?![\u200c\u200d\ufe00-\ufe0f])\p{Default_Ignorable_Code_Point}/gu, '')
  .replace(/(^|\s)[\u200c\u200d\ufe00-\ufe0f]+|[\u200c\u200d\ufe00-\ufe0f]+(?=\s|$)/g, '$1')
  .split(/ +/).join(' ').trim();

// As the importer takes it off again: no spreadsheet runs such a text.
const guarded = (text) => text
  .replace(/([,;|\t\r\n])([ \u00a0'"]*[=+\-@＝＋－＠])/g, "$1'$2")
  .replace(/^[ \u00a0'"]*[=+\-@＝＋－＠\t\r\n]/, "'$&");

const quoted = (text) => (/[",;\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

const dayOf = (second) => {
  const then = new Date(second * 1000);
  const two = (part) => String(part).padStart(2, '0');
  return `${then.getFullYear()}-${two(then.getMonth() + 1)}-${two(then.getDate())}`;
};

const rowOf = (block, set, player) => {
  const count = countOf(block.rule, set.balls, true);
  return {
    date: dayOf(set.balls[0][1]),
    drill: block.drill,
    balls: count.balls,
    successes: count.made,
    restarts: block.rule.in_a_row ? count.misses : '',
    minutes: minutesOf(set.balls) || '',
    player,
  };
};

const fileText = (columns, rows) => [columns, ...rows.map((row) => columns.map((name) => row[name] ?? ''))]
  .map((cells) => cells.map((cell) => quoted(guarded(cleanText(String(cell))))).join(','))
  .join('\n') + '\n';

const fileName = (rows, player) => {
  const plain = player.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').slice(0, 40);
  const days = rows.map((row) => row.date).sort();
  return `${['practice', days[0], plain].filter(Boolean).join('-')}.csv`;
};
