package drift

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/calib/fit"
	"joulewell/energy"
)

// Trend is how the deviations of one standard go with time.
type Trend struct {
	Rate        energy.Estimate // [unit/s] at constant temperature where Temperature is known
	Low         float64         // [unit/s] the rate lies between this
	High        float64         // [unit/s] and this with the probability asked for
	Temperature energy.Estimate // [unit/K] coefficient of the air's temperature; NaN = not known
	Unknown     string          // why Temperature is not known, empty when it is
	FromScatter bool            // the uncertainties come from the scatter, not from those of the records

	middle time.Time
	level  energy.Estimate // [unit] deviation at the middle
}

// Trend fits a straight line to the deviations against time, weighted by the uncertainty
// that is new with each record; that of the standard itself, the same for all, does not
// enter. Where the records scatter more than they state (probability below 5 %), or one
// of them states nothing, all count alike and the uncertainty comes from the scatter
// about the line.
//
// Where the temperature was logged throughout and varied enough, rate and temperature
// coefficient are fitted together: each as the line through what is left of both sides
// once the other variable is taken out (theorem of Frisch, Waugh and Lovell).
//
// It wants three records or more, not all at one time.
func (h History) Trend(probability float64) (Trend, error) {
	const doing = "find the drift"
	if err := h.alone(3); err != nil {
		return Trend{}, fmt.Errorf("%s: %w", doing, err)
	}
	s := h.series()
	if slices.Max(s.deviation) == slices.Min(s.deviation) && !s.stated() {
		return Trend{}, fmt.Errorf("%s: all %d deviations are alike and their uncertainties not stated: the resolution hides the scatter", doing, len(s.deviation))
	}
	t := Trend{Temperature: energy.None(), Unknown: s.airless()}
	p, scatter, err := s.agree(t.Unknown == "")
	if err != nil {
		return Trend{}, fmt.Errorf("%s: %w", doing, err)
	}
	t.FromScatter = scatter
	t.Rate = p.rate
	if t.Unknown == "" {
		t.Temperature = p.temperature
	}
	coverage, err := fit.Coverage(probability, p.coverageDoF)
	if err != nil {
		return Trend{}, fmt.Errorf("%s: %w", doing, err)
	}
	t.Low, t.High = p.rate.Value-coverage*p.rate.U, p.rate.Value+coverage*p.rate.U
	t.middle = h.Records[0].When.Add(time.Duration(p.middle * 1e9))
	t.level = p.level
	return t, nil
}

// Significant reports whether the interval of the rate leaves out zero.
func (t *Trend) Significant() bool { return t.Low > 0 || t.High < 0 }

// At returns the deviation that the line has at a moment [unit], at the mean temperature
// of the records where that is part of the fit.
func (t *Trend) At(when time.Time) energy.Estimate {
	away := when.Sub(t.middle).Seconds()
	return energy.Estimate{Value: t.level.Value + t.Rate.Value*away, U: math.Hypot(t.level.U, t.Rate.U*away)}
}

// series are the numbers of a history.
type series struct {
	time      []float64 // [s] since the first record
	deviation []float64
	u         []float64 // the part that is new with each record
	air       []float64 // [Cel]
}

func (h History) series() series {
	var s series
	for i := range h.Records {
		r := &h.Records[i]
		s.time = append(s.time, r.When.Sub(h.Records[0].When).Seconds())
		s.deviation = append(s.deviation, r.Deviation().Value)
		s.u = append(s.u, r.fresh())
		s.air = append(s.air, r.Air)
	}
	return s
}

// stated reports whether every record says how uncertain it is.
func (s series) stated() bool { return slices.Min(s.u) > 0 }

// plane is a fit of the deviations, all its uncertainties for one choice of weights.
type plane struct {
	rate, temperature energy.Estimate
	level             energy.Estimate // deviation at the middle
	middle            float64         // [s] weighted mean time
	squares           float64         // of the residuals over their uncertainties
	coverageDoF       float64
}

// agree fits with the stated uncertainties, or from the scatter where those do not
// explain it.
func (s series) agree(withAir bool) (p plane, scatter bool, err error) {
	dof := len(s.time) - 2
	if withAir {
		dof--
	}
	if s.stated() {
		if p, err = s.fit(withAir); err != nil {
			return plane{}, false, err
		}
		p.coverageDoF = math.Inf(1)
		if (distuv.ChiSquared{K: float64(dof)}).Survival(p.squares) >= 0.05 {
			return p, false, nil
		}
	}
	alike := s
	alike.u = make([]float64, len(s.u))
	for i := range alike.u {
		alike.u[i] = 1
	}
	if p, err = alike.fit(withAir); err != nil {
		return plane{}, false, err
	}
	sd := math.Sqrt(p.squares / float64(dof))
	p.rate.U *= sd
	p.temperature.U *= sd
	p.level.U *= sd
	p.coverageDoF = float64(dof)
	return p, true, nil
}

// fit takes the weights as they are.
func (s series) fit(withAir bool) (plane, error) {
	line, err := fit.Weighted(points(s.time, s.deviation, s.u), fit.Line)
	if err != nil {
		return plane{}, err
	}
	p := plane{
		rate:    energy.Estimate{Value: line.Coefficients[1], U: line.U(1)},
		squares: line.SumSquares,
	}
	var weights, level float64
	for i, u := range s.u {
		w := 1 / (u * u)
		weights += w
		p.middle += w * s.time[i]
		level += w * s.deviation[i]
	}
	p.middle /= weights
	p.level = energy.Estimate{Value: level / weights, U: 1 / math.Sqrt(weights)}
	if !withAir {
		return p, nil
	}
	if p.rate, _, err = partial(s.time, s.air, s.deviation, s.u); err != nil {
		return plane{}, err
	}
	p.temperature, p.squares, err = partial(s.air, s.time, s.deviation, s.u)
	return p, err
}

func points(x, y, u []float64) []fit.Point {
	all := make([]fit.Point, len(x))
	for i := range x {
		all[i] = fit.Point{X: x[i], Y: y[i], UY: u[i]}
	}
	return all
}

// partial returns the coefficient of x in a fit of y by x and other, and the sum of the
// squared residuals of that fit.
func partial(x, other, y, u []float64) (energy.Estimate, float64, error) {
	ofX, err := fit.Weighted(points(other, x, u), fit.Line)
	if err != nil {
		return energy.Estimate{}, 0, err
	}
	ofY, err := fit.Weighted(points(other, y, u), fit.Line)
	if err != nil {
		return energy.Estimate{}, 0, err
	}
	c, err := fit.Weighted(points(ofX.Residuals, ofY.Residuals, u), fit.OriginLine)
	if err != nil {
		return energy.Estimate{}, 0, err
	}
	return energy.Estimate{Value: c.Coefficients[1], U: c.U(1)}, c.SumSquares, nil
}
