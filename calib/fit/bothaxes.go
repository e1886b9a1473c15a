package fit

import (
	"fmt"
	"math"
)

// BothAxes fits a straight line to points of which both x and y are uncertain, each
// by its stated UX, UY and R, by maximum likelihood for normal deviations.
//
// The covariance is that of York and co-authors (2004), evaluated at the adjusted
// points, and is not scaled by the scatter seen. Two other conventions are met: the
// same times SumSquares/DoF, and the uncertainties of the data propagated through the
// estimator, which differs in the second digit when the scatter is large. Residuals
// are vertical distances; SumSquares is the chi-squared of both axes.
//
// It wants three points or more, two different x, and for each point an uncertainty
// in x or y.
//
// Source: York, Evensen, Martinez, De Basabe, Unified equations for the
// slope, intercept, and standard errors of the best straight line, Am. J. Phys. 72
// (2004) 367, equations 13, written here with variances in place of their inverses so
// that one of them may be zero.
func BothAxes(points []Point) (Curve, error) {
	const doing = "fit line with both axes uncertain"
	if err := checkModel(doing, points, Line); err != nil {
		return Curve{}, err
	}
	if len(points) < 3 {
		return Curve{}, fmt.Errorf("%s: %d points: at least 3 are needed", doing, len(points))
	}
	for i, p := range points {
		if p.UX == 0 && p.UY == 0 {
			return Curve{}, fmt.Errorf("%s: point %d: both uncertainties are zero: one must be positive", doing, i+1)
		}
		if math.Abs(p.R) == 1 {
			return Curve{}, fmt.Errorf("%s: point %d: correlation %g: must lie inside -1 and 1", doing, i+1, p.R)
		}
	}
	start, err := Ordinary(points, Line)
	if err != nil {
		return Curve{}, err
	}
	slope := start.Coefficients[1]
	const rounds = 1000
	for range rounds {
		s := york(points, slope)
		if !finite(s.next) {
			return Curve{}, fmt.Errorf("%s: the slope runs off after %g: the points lie on no line y = a + b x", doing, slope)
		}
		done := math.Abs(s.next-slope) <= 1e-15*math.Abs(s.next)
		slope = s.next
		if done {
			break
		}
	}
	s := york(points, slope)
	if math.Abs(s.next-slope) > 1e-9*math.Abs(slope) {
		return Curve{}, fmt.Errorf("%s: the slope, about %g, is not settled after %d rounds", doing, slope, rounds)
	}
	return s.curve(points, slope), nil
}

// yorkSums are what one round with a given slope yields.
type yorkSums struct {
	weights    []float64 // W_i
	adjusted   []float64 // adjusted x_i, counted from meanX
	meanX      float64   // weighted means of the readings
	meanY      float64
	sumWeights float64
	next       float64 // better slope
}

func york(points []Point, slope float64) yorkSums {
	s := yorkSums{weights: make([]float64, len(points)), adjusted: make([]float64, len(points))}
	for i, p := range points {
		w := 1 / (p.UY*p.UY + slope*slope*p.UX*p.UX - 2*slope*p.R*p.UX*p.UY)
		s.weights[i] = w
		s.sumWeights += w
		s.meanX += w * p.X
		s.meanY += w * p.Y
	}
	s.meanX /= s.sumWeights
	s.meanY /= s.sumWeights
	var above, below float64
	for i, p := range points {
		u, v := p.X-s.meanX, p.Y-s.meanY
		b := s.weights[i] * (u*p.UY*p.UY + slope*v*p.UX*p.UX - (slope*u+v)*p.R*p.UX*p.UY)
		s.adjusted[i] = b
		above += s.weights[i] * b * v
		below += s.weights[i] * b * u
	}
	s.next = above / below
	return s
}

func (s *yorkSums) curve(points []Point, slope float64) Curve {
	var shift, spread float64 // mean and spread of the adjusted x
	for i, w := range s.weights {
		shift += w * s.adjusted[i] / s.sumWeights
	}
	for i, w := range s.weights {
		spread += w * math.Pow(s.adjusted[i]-shift, 2)
	}
	c := Curve{Model: Line, DoF: len(points) - 2, centre: s.meanX + shift, scale: 1}
	c.Low, c.High = span(points)
	c.z = []float64{s.meanY + slope*shift, slope}
	c.zcov = [][]float64{{1 / s.sumWeights, 0}, {0, 1 / spread}}
	roots := make([]float64, len(points))
	for i, w := range s.weights {
		roots[i] = math.Sqrt(w)
	}
	c.judge(points, roots)
	c.fromScaled()
	return c
}
