// Keeping the card in the browser, so that a reload or a closed page loses nothing.
const makeKeep = (id, version) => {
  const key = `sgputt card ${id}`;
  const before = `${key} before`;
  let works = true;

  const read = (name) => {
    try {
      const card = JSON.parse(localStorage.getItem(name));
      return card?.version === version && card.round && card.holes ? card : null;
    } catch {
      return null;
    }
  };

  const write = (name, card) => {
    try {
      localStorage.setItem(name, JSON.stringify(card));
      works = true;
    } catch {
      works = false;
    }
    return works;
  };

  return {
    read: () => read(key),
    write: (card) => write(key, card),
    readBefore: () => read(before),
    writeBefore: (card) => write(before, card),
    isMine: (event) => event.key === key,
  };
};
