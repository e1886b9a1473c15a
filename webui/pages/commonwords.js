// Words of what every page shares.

export const unreachable = 'The daemon does not answer.';
export const unexplained = 'the daemon refused without saying why';
