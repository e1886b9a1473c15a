package loss

import (
	"math"

	"joulewell/energy"
)

// PartWork is what one kind of friction took.
type PartWork struct {
	Part Part
	Work energy.Estimate // [J]
}

// Work returns what each part of the model took from the swing between two turning
// points, given by their index from the first of the record, for a spring of a rate
// [N/m] with its uncertainty. A cycle is two half swings. It panics unless
// 0 <= from <= to: a programmer's slip.
func (f Fit) Work(rate energy.Estimate, from, to int) []PartWork {
	if from < 0 || to < from {
		panic("loss: half swings must be counted upward from zero")
	}
	works := make([]PartWork, 0, len(f.Model.Parameters))
	for i, w := range f.shares(from, to) {
		w.scale(rate.Value)
		works = append(works, PartWork{f.Model.Parameters[i].Part, energy.Estimate{
			Value: w.value,
			U:     math.Hypot(f.scatterOf(w.gradient), w.value/rate.Value*rate.U),
		}})
	}
	return works
}

// Amplitudes returns the fitted amplitudes [m] at the turning points 0 to n.
func (f Fit) Amplitudes(n int) []float64 {
	return f.Model.Amplitudes(f.First.Value, f.values(), n)
}

func (f Fit) values() []float64 {
	values := make([]float64, len(f.Parameters))
	for i, p := range f.Parameters {
		values[i] = p.Value
	}
	return values
}

// graded is a number with its gradient by the fitted numbers, in the problem's units.
type graded struct {
	value    float64
	gradient []float64
}

func (g *graded) scale(by float64) {
	g.value *= by
	for i := range g.gradient {
		g.gradient[i] *= by
	}
}

func (g *graded) add(o graded) {
	g.value += o.value
	for i := range g.gradient {
		g.gradient[i] += o.gradient[i]
	}
}

// shares returns the work over the rate [m2] of each part between two turning points.
func (f Fit) shares(from, to int) []graded {
	s := f.solved
	own := len(f.Model.Parameters)
	at := func(p []float64) []float64 { return f.Model.lost(p[0], p[s.own:], from, to) }
	here := at(s.p)
	all := make([]graded, own)
	for i := range all {
		all[i] = graded{here[i] * s.unit * s.unit, make([]float64, len(s.p))}
	}
	point := append([]float64(nil), s.p...)
	for j := range s.p {
		if j > 0 && j < s.own {
			continue // the neutral point takes no work
		}
		h := 1e-5
		if j >= s.own {
			h /= 1 + float64(to)
		}
		point[j] = s.p[j] + h
		up := at(point)
		down, width := here, h
		if j < s.own || s.p[j] > h {
			point[j] = s.p[j] - h
			down, width = at(point), 2*h
		}
		point[j] = s.p[j]
		for i := range all {
			all[i].gradient[j] = (up[i] - down[i]) / width * s.unit * s.unit
		}
	}
	return all
}

// scatterOf returns the standard uncertainty that the turning points' scatter gives a
// number with this gradient.
func (f Fit) scatterOf(gradient []float64) float64 {
	var sum float64
	for i, a := range gradient {
		for j, b := range gradient {
			sum += a * b * f.solved.covariance.At(i, j)
		}
	}
	return math.Sqrt(max(0, sum))
}
