package analysis

import (
	"slices"

	"joulewell/calib/fit"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
)

const (
	leastPoints = 8   // of a moving stretch that is looked at
	perWindow   = 4   // states in half a window where readings are denser
	silence     = 3.5 // usual intervals that are bridged, so that two lost echoes in a row are
)

// State is the bob at the instant of one reading.
type State struct {
	T        float64         // [s]
	Height   energy.Estimate // [m] with all that its uncertainty consists of
	Velocity energy.Estimate // [m/s] upward, likewise
	Energies energy.Energies
	Residual float64 // [m] distance read less distance fitted
	Outlier  bool    // the reading itself was left out
	Known    bool    // there is an answer here; all else but T is zero without
}

// Turn is a turning point with its energies.
type Turn struct {
	loss.Turning
	Height   energy.Estimate // [m]
	Energies energy.Energies // kinetic energy is zero: the bob stands
}

// Kinetic says what was taken off and put on the kinetic energies of a swing.
type Kinetic struct {
	NoiseBias  float64 // [J] mean that the velocity's noise put on; taken off
	Flattening float64 // [1] share of the velocity that the window takes; put back
	MostPut    float64 // [J] largest amount put back for it
}

// Swing is one free swing.
type Swing struct {
	From, To         float64 // [s] first and last instant used
	HeldFrom, HeldTo float64 // [s] the hold before it; equal where there was none
	Step             float64 // [s] between states
	States           []State
	Found            loss.Turnings    // all turning points seen
	Record           []loss.Turning   // those of Found that the books are kept on
	Turns            []Turn           // of Record
	Push             *Push            // at the release; nil where there was none, or it cannot be told
	Period           *energy.Estimate // [s] of a whole swing; nil where it cannot be told
	Decrease         *energy.Estimate // [1] share of the amplitude that a cycle takes, on the mean; nil where it cannot be told
	Kinetic          Kinetic
	Evidence         *loss.Evidence // on how it decays; nil with too few turning points
	Loops            *loss.LoopSet  // nil where no loop can be measured
	LoopPoints       []loss.Point   // force and extension at one instant
	Entries          loss.Entries   // what Whole was made from
	Whole            *loss.Ledger   // from the first turning point to the last on its side
	Rows             []loss.Ledger  // one a cycle, or one for several where they are many
	CyclesPerRow     int            // [1]

	// The losses by Monte Carlo; nil where that was not asked for.
	Drawn      *fit.Distribution // of Whole
	FirstDrawn *fit.Distribution // of the first of Rows; nil where there is none
	Notes      []string          // what must be known when reading it

	scatter     float64 // [m] usual standard uncertainty of a height from the scatter alone
	first, last int64   // [ns]
	epoch       *epoch
	samples     []loss.Sample // the hold, then the motion
	moving      []loss.Sample // of these
}

// swing works out the motion of one moving stretch.
func (a *analyser) swing(e *epoch, p part, smoother *motion.Smoother) (Swing, error) {
	t := e.heights.Times
	s := Swing{From: seconds(t[p.from]), To: seconds(t[p.to]), first: t[p.from], last: t[p.to], epoch: e}
	options := loss.Options{}
	if p.held != nil {
		s.HeldFrom, s.HeldTo = seconds(t[p.held.from]), seconds(t[p.held.to])
		s.samples = a.samples(p.held, s.HeldFrom, s.From)
		options.HeldFrom, options.HeldTo = s.HeldFrom, s.samples[len(s.samples)-1].T
	}
	answers := a.fit(&s, p, smoother)
	found, err := loss.TurningPoints(s.samples, options)
	if err != nil {
		return s, err
	}
	s.Found = found
	if err := a.choose(&s, p); err != nil {
		return s, err
	}
	a.states(&s, answers)
	return s, nil
}

// longestGap is the longest silence [s] that is bridged.
func longestGap(times []int64) float64 {
	steps := make([]int64, 0, 1001)
	for i := 1; i < len(times); i += max(1, len(times)/1000) {
		steps = append(steps, times[i]-times[i-1])
	}
	if len(steps) == 0 {
		return 0.1
	}
	slices.Sort(steps)
	return min(1, max(0.1, silence*seconds(steps[len(steps)/2])))
}

// answer is what the smoother says at the instant of a reading.
type answer struct {
	t             int64
	usual, closer motion.Answer
	residual      float64
}

// fit asks the smoother at the readings, or at some of them where they are many, and
// adds the closer answers to the samples. The reading after a silence is always among
// them; having nothing before it, it has no answer, which tells of the silence.
func (a *analyser) fit(s *Swing, p part, smoother *motion.Smoother) []answer {
	t, x := s.epoch.heights.Times, s.epoch.heights.Values
	step := max(1, nanoseconds(smoother.HalfWidth/perWindow)-(t[p.to]-t[p.from])/int64(2*(p.to-p.from)))
	answers := make([]answer, 0, min(int64(p.to-p.from+1), (t[p.to]-t[p.from])/step+2))
	held := len(s.samples)
	for i := p.from; i <= p.to; i++ {
		n := len(answers)
		if n > 0 && t[i] < answers[n-1].t+step && i < p.to {
			continue
		}
		now := answer{t: t[i]}
		now.usual, now.closer = smoother.Both(t[i])
		now.residual = x[i] - now.usual.Position.Value
		sample := loss.Sample{T: seconds(t[i]), Extension: energy.None(), Velocity: energy.None()}
		if c := &now.closer; c.Position.Known() {
			sample.Extension = energy.Estimate{Value: a.bench.Apparatus.Extension(c.Position.Value), U: c.Position.U}
			sample.Velocity = energy.Estimate{Value: -c.Velocity.Value, U: c.Velocity.U}
			sample.Covariance = c.Quality.Covariance
		}
		answers = append(answers, now)
		s.samples = append(s.samples, sample)
	}
	s.moving = s.samples[held:]
	s.Step = seconds(t[p.to]-t[p.from]) / float64(len(answers)-1)
	return answers
}

// indexOf returns the index of the first time not before t.
func indexOf(times []int64, t int64) int {
	i, _ := slices.BinarySearch(times, t)
	return i
}
