// Keeping the log in the browser, so that a reload or a closed page loses nothing.
const makeKeep = (id, version) => {
  const key = `sgputt practice ${id}`;

  const read = () => {
    try {
      const log = JSON.parse(localStorage.getItem(key));
      return log?.version === version && log.sets ? log : null;
    } catch {
      return null;
    }
  };

  const write = (log) => {
    try {
      localStorage.setItem(key, JSON.stringify(log));
      return true;
    } catch {
      return false;
    }
  };

  return { read, write, isMine: (event) => event.key === key };
};
