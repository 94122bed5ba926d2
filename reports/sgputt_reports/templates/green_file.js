// The log as a file: a row a set, in the columns that the importer takes.
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

const fileText = (columns, rows) => [columns, ...rows.map((row) => columns.map((name) => row[name]))]
  .map((cells) => cells.map(cell).join(','))
  .join('\n') + '\n';

const fileName = (rows, player) => {
  const days = rows.map((row) => row.date).sort();
  return `${['practice', days[0], nameInFile(player, 40)].filter(Boolean).join('-')}.csv`;
};
