package quantity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Source gives random bits. Which, and from which seed, is the caller's to say.
type Source interface{ Uint64() uint64 }

// Drawable refuses inputs that Monte Carlo cannot draw: those with two degrees of
// freedom or fewer, whose distribution has no standard deviation.
func Drawable(inputs []Input) error {
	for _, in := range inputs {
		if in.DoF <= 2 {
			return fmt.Errorf("draw %s: %g degrees of freedom are too few for Monte Carlo: repeat the reading or use the linear method", in.Name, in.DoF)
		}
	}
	return nil
}

// Draw fills x with values of the inputs that what is known of them allows (JCGM 101,
// 6.4): rectangular between bounds, normal for a stated standard uncertainty, and
// Student's distribution where that has finite degrees of freedom.
func Draw(inputs []Input, from Source, x []float64) {
	for i, in := range inputs {
		x[i] = in.draw(from)
	}
}

func (q Quantity) draw(from Source) float64 {
	half := math.Sqrt(3) * q.U
	switch {
	case q.U == 0:
		return q.Value
	case q.How.rectangular():
		return distuv.Uniform{Min: q.Value - half, Max: q.Value + half, Src: from}.Rand()
	case math.IsInf(q.DoF, 1):
		return distuv.Normal{Mu: q.Value, Sigma: q.U, Src: from}.Rand()
	}
	return distuv.StudentsT{Mu: q.Value, Sigma: q.U, Nu: q.DoF, Src: from}.Rand()
}

// DrawnU returns the standard deviation of what [Draw] draws for q: for few degrees of
// freedom Student's distribution is wider than the standard uncertainty (JCGM 101, 6.4.9).
func (q Quantity) DrawnU() float64 {
	if math.IsInf(q.DoF, 1) || q.U == 0 {
		return q.U
	}
	return q.U * math.Sqrt(q.DoF/(q.DoF-2))
}
