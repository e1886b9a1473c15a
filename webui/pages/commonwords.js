// Words of what every page shares.

export const unreachable = 'The daemon does not answer.';
export const unexplained = 'the daemon refused without saying why';

/** Against what a loss is held, told once for the pages on which it stands. */
export const ofWhat = Object.freeze({
  title: 'A loss of what?',
  each: [
    'Put in, on Show: the total from which losses are counted there. It depends on where heights count from.',
    'Energy of the swing, on Trials and in reports: what there is at the release beyond what the bob has hanging at rest. This is what a swing can lose before it comes to rest.',
    'Exchanged, on Balance: the elastic energy that comes and goes in a swing through the wider of the two states. Mostly it is larger than the energy of the swing, for the spring passes it to the weight and back.',
  ],
  same: 'The loss in joules is the same whichever it is held against. A share of one is no share of another.',
});
