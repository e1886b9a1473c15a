// The marker of an energy as a small picture beside its name.

import { corners, MARKS } from './marks.js';

const SVG = 'http://www.w3.org/2000/svg';

/** @param {string} name of the energy */
export function markerPicture(name) {
  const svg = document.createElementNS(SVG, 'svg');
  svg.setAttribute('viewBox', '-1.1 -1.1 2.2 2.2');
  svg.setAttribute('class', 'marker');
  svg.setAttribute('aria-hidden', 'true');
  const { marker } = MARKS[name];
  const shape = document.createElementNS(SVG, marker === 'disc' ? 'circle' : 'polygon');
  if (marker === 'disc') shape.setAttribute('r', '0.86');
  else shape.setAttribute('points', corners[marker].join(' '));
  shape.setAttribute('fill', 'currentColor');
  svg.append(shape);
  return svg;
}
