// Colour arithmetic for the tests of the look.

const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
const linearOf = (hex) => [1, 3, 5].map((i) => linear(parseInt(hex.slice(i, i + 2), 16) / 255));
const times = (m, v) => m.map((row) => row[0] * v[0] + row[1] * v[1] + row[2] * v[2]);

/** WCAG 2.2 contrast ratio; veil is the stray light, a twentieth of white there. */
export function contrast(a, b, veil = 0.05) {
  const [high, low] = [a, b].map((hex) => times([[0.2126, 0.7152, 0.0722]], linearOf(hex))[0]).sort((x, y) => y - x);
  return (high + veil) / (low + veil);
}

// Machado, Oliveira and Fernandes (2009), severity 1, on linear RGB.
const visions = {
  normal: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protan: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deutan: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritan: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};

/** Linear RGB of a colour as seen by a kind of colour vision. */
export const seenAs = (hex, vision) => times(visions[vision], linearOf(hex)).map((c) => Math.min(1, Math.max(0, c)));

/** CIELAB of linear sRGB, white D65. */
export function labOf(rgb) {
  const xyz = times([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.072175], [0.0193339, 0.119192, 0.9503041]], rgb);
  const [x, y, z] = [0.95047, 1, 1.08883].map((w, i) => {
    const t = xyz[i] / w;
    return t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116;
  });
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

export const difference = (a, b) => sharma(labOf(a), labOf(b));

/** CIEDE2000 of two CIELAB colours. */
export function sharma([L1, a1, b1], [L2, a2, b2]) {
  const rad = Math.PI / 180;
  const mean7 = ((Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2) ** 7;
  const G = 0.5 * (1 - Math.sqrt(mean7 / (mean7 + 25 ** 7)));
  const [p1, p2] = [(1 + G) * a1, (1 + G) * a2];
  const [C1, C2] = [Math.hypot(p1, b1), Math.hypot(p2, b2)];
  const hue = (p, b) => (p || b ? (Math.atan2(b, p) / rad + 360) % 360 : 0);
  const [h1, h2] = [hue(p1, b1), hue(p2, b2)];
  let dh = C1 * C2 === 0 ? 0 : h2 - h1;
  if (dh > 180) dh -= 360;
  if (dh < -180) dh += 360;
  const dH = 2 * Math.sqrt(C1 * C2) * Math.sin((dh / 2) * rad);
  const [L, C] = [(L1 + L2) / 2, (C1 + C2) / 2];
  let h = h1 + h2;
  if (C1 * C2 !== 0) h = Math.abs(h1 - h2) <= 180 ? h / 2 : (h + (h < 360 ? 360 : -360)) / 2;
  const cos = (k, o) => Math.cos((k * h + o) * rad);
  const T = 1 - 0.17 * cos(1, -30) + 0.24 * cos(2, 0) + 0.32 * cos(3, 6) - 0.2 * cos(4, -63);
  const SL = 1 + (0.015 * (L - 50) ** 2) / Math.sqrt(20 + (L - 50) ** 2);
  const [SC, SH] = [1 + 0.045 * C, 1 + 0.015 * C * T];
  const turn = 30 * Math.exp(-(((h - 275) / 25) ** 2));
  const RT = -2 * Math.sqrt(C ** 7 / (C ** 7 + 25 ** 7)) * Math.sin(2 * turn * rad);
  const [l, c, H] = [(L2 - L1) / SL, (C2 - C1) / SC, dH / SH];
  return Math.sqrt(l * l + c * c + H * H + RT * c * H);
}
