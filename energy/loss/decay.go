package loss

import (
	"math"
	"slices"
)

// Part is one kind of friction.
type Part string

// Parameter is a number of a [Model], zero or positive; zero is no friction.
type Parameter struct {
	Part Part
	Name string
	Unit string
	// With the amplitude to this power a parameter becomes the share of the amplitude
	// that is lost in a half swing, within a factor of two.
	power int
}

// Model is a law of decay: how far from the neutral point the bob turns next.
type Model struct {
	Name       string
	Parameters []Parameter

	// next returns the distance of the next turning point from the neutral point [m],
	// on the other side of it, negative where the bob does not get across.
	next func(amplitude float64, parameters []float64) float64

	// split returns the work that each part takes in the half swing between two
	// amplitudes, over the spring's rate [m2]: together (from^2 - to^2)/2.
	split func(from, to float64, parameters []float64) []float64
}

// models is the list of all models: one line and one file each.
var models = []Model{
	none,
	viscous,
	sliding,
	quadratic,
	viscousSliding,
	quadraticSliding,
	viscousQuadratic,
}

// Models returns every model known, the one without loss first.
func Models() []Model { return slices.Clone(models) }

// Amplitudes returns the amplitudes [m] at n+1 turning points that follow from the
// first under the model's parameters.
func (m Model) Amplitudes(first float64, parameters []float64, n int) []float64 {
	amplitudes := make([]float64, n+1)
	amplitudes[0] = first
	for i := range n {
		amplitudes[i+1] = m.next(amplitudes[i], parameters)
	}
	return amplitudes
}

// lost returns the work over the spring's rate [m2] that each part takes between the
// turning points from and to.
func (m Model) lost(first float64, parameters []float64, from, to int) []float64 {
	sum := make([]float64, len(m.Parameters))
	a := m.Amplitudes(first, parameters, to)
	for i := from; i < to; i++ {
		for j, w := range m.split(a[i], a[i+1], parameters) {
			sum[j] += w
		}
	}
	return sum
}

// has reports whether the model knows the part.
func (m Model) has(p Part) bool {
	return slices.ContainsFunc(m.Parameters, func(q Parameter) bool { return q.Part == p })
}

// covers reports whether m knows every part that n knows.
func (m Model) covers(n Model) bool {
	return !slices.ContainsFunc(n.Parameters, func(q Parameter) bool { return !m.has(q.Part) })
}

// fall is the work over the rate between two amplitudes, all parts together.
func fall(from, to float64) float64 { return (from - to) * (from + to) / 2 }

// scaled returns amplitude^power, the unit in which a fit counts a parameter.
func (p Parameter) scaled(amplitude float64) float64 { return math.Pow(amplitude, float64(-p.power)) }
