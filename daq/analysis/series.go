package analysis

import (
	"joulewell/calib"
	"joulewell/energy/motion"
)

// Read returns the calibrated heights [m] and forces [N] of the longest stretch between
// two restarts of the device, for those who look at a motion that is no swing. Distances
// stand at the instants at which the sound met the bob, forces at theirs less the
// calibrated delay.
func Read(rows Rows, c *calib.Calibration) (heights, forces motion.Series, err error) {
	ch, err := read(rows, c)
	if err != nil {
		return motion.Series{}, motion.Series{}, err
	}
	if err := ch.counts.usable(); err != nil {
		return motion.Series{}, motion.Series{}, err
	}
	for _, e := range ch.epochs {
		if len(e.heights.Times) > len(heights.Times) {
			heights, forces = e.heights, e.forces
		}
	}
	return heights, forces, nil
}
