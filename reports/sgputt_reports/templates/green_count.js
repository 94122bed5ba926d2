// What the balls of a set add up to, by the rule of its drill. A ball is [succeeded, second].
const IDLE_S = 5 * 60;

const countOf = (rule, balls, goesOn) => {
  let run = 0;
  let made = 0;
  let through = null;
  balls.forEach(([succeeded], index) => {
    made += succeeded;
    run = succeeded ? run + 1 : 0;
    if (rule.in_a_row && run === rule.in_a_row && through === null) through = index + 1;
  });
  const misses = balls.length - made;
  const left = Math.max(0, rule.balls - balls.length);
  const sure = rule.successes !== null && made >= rule.successes && balls.length <= rule.goal_balls;
  const passed = rule.in_a_row ? through !== null && through <= rule.goal_balls : sure;
  const isOver = left === 0 || through !== null || (sure && !goesOn);
  return { balls: balls.length, made, misses, run, left, through, passed, isOver };
};

// Minutes at work on a set: from ball to ball, without long pauses; 0 where the balls were counted
// faster than anyone putts, as when they are typed in afterwards.
const LEAST_S = 3;
const minutesOf = (balls) => {
  let seconds = 0;
  balls.forEach(([, at], index) => {
    const gap = index ? at - balls[index - 1][1] : 0;
    if (gap > 0 && gap <= IDLE_S) seconds += gap;
  });
  const minutes = Math.round(seconds / 6) / 10;
  return minutes * 60 >= LEAST_S * balls.length ? minutes : 0;
};
