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
	k := &s.Kinetic
	k.Flattening = flattening(answers)
	moving := a.bench.Apparatus.Bob.Mass.Value + a.bench.Apparatus.Spring.Mass.Value/3
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
			Energies: a.model.At(energy.State{Height: height, Velocity: velocity, Bias: noise}),
		}
	}
	if known > 0 {
		s.Kinetic.NoiseBias /= known
		s.scatter = scatter / known
	}
	for _, p := range s.Record {
		height, velocity := a.common(energy.Estimate{Value: a.bench.Apparatus.Height(p.Extension.Value), U: p.Extension.U}, energy.Estimate{})
		s.Turns = append(s.Turns, Turn{Turning: p, Height: height, Energies: a.model.At(energy.State{Height: height, Velocity: velocity})})
	}
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
