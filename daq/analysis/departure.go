package analysis

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"joulewell/energy/motion"
)

// departure holds the readings around a release.
type departure struct {
	t, x, weight []float64 // [s] after the bob is seen to move, [m], [1/m2]
	width        float64   // [s] of the path looked at
}

// gather draws readings together in blocks of so many seconds, each the mean of those that
// lie within what noise explains of their median.
func gather(s motion.Series, zero int64, block, noise float64) *departure {
	d := &departure{}
	for i := 0; i < len(s.Times); {
		j := i + 1
		for j < len(s.Times) && seconds(s.Times[j]-s.Times[i]) < block {
			j++
		}
		var t, x, n float64
		middle := median(s.Values[i:j])
		for ; i < j; i++ {
			if math.Abs(s.Values[i]-middle) <= away*noise {
				t, x, n = t+seconds(s.Times[i]-zero), x+s.Values[i], n+1
			}
		}
		d.t, d.x, d.weight = append(d.t, t/n), append(d.x, x/n), append(d.weight, n/(noise*noise))
	}
	return d
}

// fitted is a path with its release.
type fitted struct {
	at     float64 // [s] of the release
	speed  float64 // [m/s]
	path   [pathTerms]float64
	misfit float64 // [1] weighted sum of squares
}

// settle finds release and, where free, speed of least misfit.
func (d *departure) settle(start fitted, free bool) fitted {
	at := []float64{start.at}
	if free {
		at = append(at, start.speed)
	}
	of := func(q []float64) fitted {
		f := fitted{at: q[0], speed: start.speed}
		if free {
			f.speed = q[1]
		}
		d.solve(&f)
		return f
	}
	r, err := optimize.Minimize(optimize.Problem{Func: func(q []float64) float64 { return of(q).misfit }}, at,
		&optimize.Settings{MajorIterations: 100, Converger: &optimize.FunctionConverge{Absolute: 1e-3, Iterations: 10}},
		&optimize.NelderMead{SimplexSize: 0.02})
	if r == nil || (err != nil && len(r.X) != len(at)) {
		return fitted{misfit: math.Inf(1)}
	}
	return of(r.X)
}

// row fills in the path's terms at reading i, and what speed alone does there.
func (d *departure) row(f *fitted, i int, to *[pathTerms]float64) (moved float64) {
	*to = [pathTerms]float64{1}
	s := (d.t[i] - f.at) / d.width
	if s <= 0 {
		return 0
	}
	power := s
	for j := 1; j < pathTerms; j++ {
		power *= s
		to[j] = power
	}
	return f.speed * s * d.width
}

// solve fills in path and misfit for the release and speed of f.
func (d *departure) solve(f *fitted) {
	f.misfit = math.Inf(1)
	if f.at < d.t[0]*0.7 || f.at > d.width/4 {
		return
	}
	var normal [pathTerms * pathTerms]float64
	var right, row [pathTerms]float64
	var square float64
	for i, x := range d.x {
		y, w := x-d.x[0]-d.row(f, i, &row), d.weight[i]
		square += w * y * y
		for j, r := range row {
			right[j] += w * r * y
			for k := j; k < pathTerms; k++ {
				normal[j*pathTerms+k] += w * r * row[k]
			}
		}
	}
	var factor mat.Cholesky
	c := mat.NewVecDense(pathTerms, f.path[:])
	if !factor.Factorize(mat.NewSymDense(pathTerms, normal[:])) || factor.SolveVecTo(c, mat.NewVecDense(pathTerms, right[:])) != nil {
		return
	}
	for j, r := range right {
		square -= f.path[j] * r
	}
	f.path[0] += d.x[0]
	f.misfit = max(square, 0)
}

// off is by how much reading i misses the path [m].
func (d *departure) off(f *fitted, i int) float64 {
	var row [pathTerms]float64
	r := d.x[i] - d.row(f, i, &row)
	for j, c := range f.path {
		r -= c * row[j]
	}
	return r
}

// clip drops readings that no smooth path explains and reports whether there were any.
func (d *departure) clip(f fitted) bool {
	kept := 0
	for i := range d.x {
		if r := d.off(&f, i); d.weight[i]*r*r <= away*away {
			d.t[kept], d.x[kept], d.weight[kept] = d.t[i], d.x[i], d.weight[i]
			kept++
		}
	}
	dropped := kept < len(d.x)
	d.t, d.x, d.weight = d.t[:kept], d.x[:kept], d.weight[:kept]
	return dropped && kept > 2*pathTerms
}
