package analysis

import (
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
)

// loops brings force and extension to one time base and measures what the spring did not
// give back.
func (a *analyser) loops(s *Swing) {
	forces := &s.epoch.forces
	from, to := indexOf(forces.Times, s.first), indexOf(forces.Times, s.last+1)
	if from == to {
		s.Notes = append(s.Notes, "loss inside the spring not told: no force was recorded")
		return
	}
	var mean float64 // forces in a point
	s.LoopPoints, mean = s.points(forces.Times[from:to], forces.Values[from:to])
	f, d := &a.bench.Calibration.Force, &a.bench.Calibration.Distance
	set, err := loss.Loops(s.LoopPoints, s.Record, loss.Channels{
		Force:     math.Max(f.Noise, 1e-9) / math.Sqrt(mean),
		Extension: s.scatter,
		Memory:    s.Step * math.Pow(a.run.Noise/s.scatter, 2) * s.dense(a),
		Delay:     energy.Estimate{U: math.Max(math.Hypot(f.Delay.U, d.Delay.U), 1e-9)},
		Scale:     math.Hypot(f.Span.U/f.Span.Value, a.relative()),
		Settling:  math.Max(0, 2*f.Delay.Value), // a mean over the settling time is half of it old; found beside a late distance, a short delay may come out below zero
		MassRatio: a.bench.Apparatus.Spring.Mass.Value / a.bench.Apparatus.Bob.Mass.Value,
	})
	if err != nil {
		s.Notes = append(s.Notes, "loss inside the spring not told: "+err.Error())
		return
	}
	s.Loops = &set // where the converter is too slow, the ledger says so
}

// dense is how many states there would be for one reading: 1 where every reading has one.
func (s *Swing) dense(a *analyser) float64 {
	n := indexOf(s.epoch.heights.Times, s.last) - indexOf(s.epoch.heights.Times, s.first)
	return float64(len(s.States)-1) / math.Max(float64(n), 1)
}

// points pairs forces with the extension at their instant. Forces that are very dense
// are drawn together, the mean of a sixty-fourth of a period in one point.
func (s *Swing) points(times []int64, forces []float64) (points []loss.Point, mean float64) {
	var together int64
	if s.Period != nil {
		together = nanoseconds(s.Period.Value / 64)
	}
	used, k := 0, 0
	for i := 0; i < len(times); {
		start, n, t, force := times[i], 0, 0.0, 0.0
		for i < len(times) && (n == 0 || times[i]-start < together) {
			t, force = t+seconds(times[i]-s.first), force+forces[i]
			n, i = n+1, i+1
		}
		at := seconds(s.first) + t/float64(n)
		for k+1 < len(s.moving) && s.moving[k+1].T <= at {
			k++
		}
		if k+1 == len(s.moving) {
			break
		}
		if x, ok := s.extension(k, at); ok {
			points = append(points, loss.Point{T: at, Extension: x, Force: force / float64(n)})
			used += n
		}
	}
	return points, math.Max(1, float64(used)/math.Max(float64(len(points)), 1))
}

// extension interpolates between samples k and k+1 of the motion, by the cubic through
// their places and velocities.
func (s *Swing) extension(k int, t float64) (float64, bool) {
	p, q := &s.moving[k], &s.moving[k+1]
	if t < p.T || t > q.T || math.IsNaN(p.Extension.Value+q.Extension.Value) {
		return 0, false
	}
	h := q.T - p.T
	u := (t - p.T) / h
	way := q.Extension.Value - p.Extension.Value
	a, b := p.Velocity.Value*h-way, way-q.Velocity.Value*h
	return p.Extension.Value + u*way + u*(1-u)*(a*(1-u)+b*u), true
}
