// What a strip shows: the energies, the extension, or the force.

import { energyScale } from './axistext.js';
import { ENERGIES, SERIES } from './columns.js';
import { MARKS } from './marks.js';
import { words } from './words.js';

/** @type {Chart} */
export const energies = {
  title: '',
  columns: (record) => record.columns,
  scale: energyScale,
  traces: ['gravitational', 'elastic', 'kinetic', 'total'].map((name) => {
    const s = SERIES.indexOf(name);
    const { marker, dash } = MARKS[name];
    return { s, name, field: ENERGIES[s], pen: name === 'total' ? 'line-total' : 'line-part', marker, dash };
  }),
};

/**
 * @param {'extension' | 'force'} name @param {string} unit
 * @returns {Chart}
 */
const single = (name, unit) => ({
  title: words[name],
  columns: (record) => record[name],
  scale: (state) => ({ axis: state.axes[name], name: unit, factor: 1 }),
  traces: [{ s: 0, name: 'ink', field: `${name}_${unit}`, pen: 'line-part', marker: 'disc', dash: [0, 0] }],
});
export const extension = single('extension', words.metres);
export const force = single('force', words.newtons);
