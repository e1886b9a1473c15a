package motion

import "joulewell/energy"

// Answer is what a smoother says of one instant.
type Answer struct {
	Position energy.Estimate // [m]
	Velocity energy.Estimate // [m/s]
	Quality  Quality
}

// Both returns two answers from the same points: the usual one of [Smoother.At], and a
// closer one by a polynomial of degree 5. The window is chosen for velocities; the usual
// answer flattens the places where the bob turns by A w^4/280, for an amplitude A and
// with w half the window times the angular frequency, the closer one by A w^6/33000.
// Its position is noisier by a quarter, its velocity by a factor of 2.6.
//
// The difference of the two velocities is not correlated with the usual one's noise
// (the fits are nested), so that its mean over a run along the usual velocity tells,
// without any sinusoid, which share of the velocity the window flattens.
//
// Where the points are too few for degree 5 both answers are the usual one.
func (s *Smoother) Both(t int64) (usual, closer Answer) {
	usual.Position, usual.Velocity, usual.Quality = s.At(t)
	w := &s.window
	if !usual.Position.Known() || w.fit.terms == maxTerms || w.kept <= maxTerms+1 || !w.fitKept(maxTerms) {
		return usual, usual
	}
	closer.Position, closer.Velocity, closer.Quality = w.read(s.Noise)
	return usual, closer
}

// Settle narrows the window until a cubic suffices at all but a twentieth of the instants
// looked at, or it holds few points. In a window so wide that the degree is raised as far as
// it goes nobody is left to tell what that flattens: positions at the turns may then be off
// by more than they state, though velocities be as good as can be.
func (s *Smoother) Settle() {
	least := narrowest * 1e-9 * float64(usualInterval(s.track.times))
	for s.HalfWidth*narrower > least {
		raised, answers := 0, 0
		for _, i := range spread(len(s.track.times)) {
			if s.judge(s.track.times[i]) {
				answers++
				if s.window.fit.terms > smoothDegree+1 {
					raised++
				}
			}
		}
		if raised*20 <= answers {
			return
		}
		s.HalfWidth *= narrower
		s.reachTo(nanoseconds(s.HalfWidth))
	}
}

const (
	narrower  = 0.8
	narrowest = 4.0 // usual intervals in half a window
)
