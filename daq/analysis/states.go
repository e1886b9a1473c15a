package analysis

import (
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
)

// states turns answers into energies: places from the closer fit, velocities from the
// usual one, with what the window took of them put back.
func (a *analyser) states(s *Swing, answers []answer) {
	if period, err := loss.Period(s.Record); err == nil {
		s.Period = &period
	}
	if decrease, err := loss.Decrease(s.Record); err == nil {
		s.Decrease = &decrease
	}
	k := &s.Kinetic
	k.Flattening = flattening(answers)
	moving := a.bench.Apparatus.Bob.Mass.Value + a.bench.Apparatus.Spring.Mass.Value/3
	anywhere := a.waves(s, loss.Anywhere)
	s.States = make([]State, len(answers))
	var known, scatter float64
	for i := range answers {
		n := &answers[i]
		s.States[i].T = seconds(n.t)
		if !n.usual.Position.Known() {
			continue
		}
		known++
		scatter += n.closer.Position.U
		noise := n.usual.Quality.VelocityNoise * n.usual.Quality.VelocityNoise
		k.NoiseBias += moving * noise / 2
		velocity := n.usual.Velocity
		if n.usual.Quality.Degree == smoothDegree {
			put := velocity.Value * k.Flattening
			k.MostPut = max(k.MostPut, moving*(put+2*velocity.Value)*put/2)
			velocity.Value += put
			velocity.U = math.Hypot(velocity.U, put/math.Sqrt(3)) // not all parts of the motion are flattened alike
		}
		height, velocity := a.common(n.closer.Position, velocity)
		s.States[i] = State{
			T: seconds(n.t), Height: height, Velocity: velocity, Known: true,
			Residual: n.residual, Outlier: n.usual.Quality.Outlier,
			Energies: waving(a.model.At(energy.State{Height: height, Velocity: velocity, Bias: noise}), anywhere),
		}
	}
	if known > 0 {
		s.Kinetic.NoiseBias /= known
		s.scatter = scatter / known
	}
	for i, p := range s.Record {
		height, velocity := a.common(energy.Estimate{Value: a.bench.Apparatus.Height(p.Extension.Value), U: p.Extension.U}, energy.Estimate{})
		energies := waving(a.model.At(energy.State{Height: height, Velocity: velocity}), a.waves(s, loss.Place(s.Record, i)))
		s.Turns = append(s.Turns, Turn{Turning: p, Height: height, Energies: energies})
	}
}

// waves bounds the energy [J] that waves in the coils keep out of sight at a place of the
// swing. Where the spring is so heavy that nothing bounds it, the books refuse.
func (a *analyser) waves(s *Swing, at loss.Where) float64 {
	ratio := a.bench.Apparatus.Spring.Mass.Value / a.bench.Apparatus.Bob.Mass.Value
	share, err := loss.CoilWave(ratio, at)
	if err != nil {
		return 0
	}
	var reach float64
	for i := 1; i < len(s.Record); i++ {
		reach = max(reach, math.Abs(s.Record[i].Extension.Value-s.Record[i-1].Extension.Value)/2)
	}
	return share * loss.Exchanged(ratio, a.bench.Apparatus.Spring.Rate.Value, reach)
}

// waving adds to the total what waves may keep out of sight, at most so much [J] and
// evenly spread from nothing: a root mean square of most/sqrt(3) about the total shown.
func waving(e energy.Energies, most float64) energy.Energies {
	e.Total.U = math.Hypot(e.Total.U, most/math.Sqrt(3))
	return e
}

// smoothDegree is that of the smoother's polynomials where it suffices.
const smoothDegree = 3

// flattening is the share of the velocity that the window takes: the mean over the swing
// of what the closer fit adds to the usual velocity, along that. See [motion.Smoother.Both].
func flattening(answers []answer) float64 {
	var along, square float64
	for i := range answers {
		usual, closer := &answers[i].usual, &answers[i].closer
		if usual.Position.Known() && usual.Quality.Degree == smoothDegree {
			along += (closer.Velocity.Value - usual.Velocity.Value) * usual.Velocity.Value
			square += usual.Velocity.Value * usual.Velocity.Value
		}
	}
	if square == 0 {
		return 0
	}
	return along / square
}

// common adds to a height and a velocity what all distances share: place and scale of
// the sensor, speed of sound, delay.
func (a *analyser) common(height, velocity energy.Estimate) (energy.Estimate, energy.Estimate) {
	c := &a.bench.Calibration.Distance
	relative := a.relative()
	distance := math.Abs(height.Value - c.Offset.Value)
	late := velocity.Value * c.Delay.U
	place := math.Hypot(c.Offset.U, distance*relative)
	height.U = math.Sqrt(height.U*height.U + place*place + late*late)
	velocity.U = math.Hypot(velocity.U, velocity.Value*relative)
	return height, velocity
}
