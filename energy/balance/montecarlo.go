package balance

import (
	"errors"
	"math"

	"joulewell/calib/fit"
	"joulewell/energy/quantity"
)

// Method says how the uncertainty of the loss is got.
type Method struct {
	MonteCarlo bool
	Trials     int             // [1] draws; 0 = 200 000
	Source     quantity.Source // of random bits, needed for Monte Carlo only
}

// draw is the cross-check by propagation of distributions (JCGM 101).
func (c *comparer) draw(by Method) (*fit.Distribution, error) {
	if by.Source == nil {
		return nil, errors.New("draw the loss: no source of random bits: give a seed")
	}
	if err := quantity.Drawable(c.inputs); err != nil {
		return nil, err
	}
	if by.Trials == 0 {
		by.Trials = 200_000
	}
	drawing := *c
	for _, s := range []*State{&drawing.Start, &drawing.End} {
		// A draw scatters about a speed that scatters itself: both make its square too
		// large on average.
		s.Speed.U = math.Hypot(s.Speed.U, s.Speed.DrawnU())
	}
	x := make([]float64, len(c.inputs))
	var refusal error
	d, err := fit.MonteCarlo(func() float64 {
		quantity.Draw(c.inputs, by.Source, x)
		y, err := drawing.energies(x)
		if err != nil {
			refusal = err
			return math.NaN() // ends the drawing
		}
		return y[ofLoss]
	}, by.Trials, quantity.Probability)
	if refusal != nil {
		return nil, refusal
	}
	return &d, err
}
