package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
)

const (
	leastPoints = 8   // of a moving stretch that is looked at
	perWindow   = 4   // states in half a window where readings are denser
	silence     = 3.5 // usual intervals that are bridged, so that two lost echoes in a row are
	mostTurns   = 2000
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
	Found            loss.Turnings
	Record           []loss.Turning // of Found: what the books are kept on
	Turns            []Turn         // of Record
	Period           *energy.Estimate
	Kinetic          Kinetic
	Evidence         *loss.Evidence
	Loops            *loss.LoopSet
	LoopPoints       []loss.Point
	Whole            *loss.Ledger  // from the first turning point to the last
	Rows             []loss.Ledger // one a cycle, or one for several where they are many
	CyclesPerRow     int           // [1]
	Notes            []string

	scatter     float64 // [m] usual standard uncertainty of a height from the scatter alone
	first, last int64   // [ns]
	epoch       *epoch
	samples     []loss.Sample // the hold, then the motion
	moving      []loss.Sample // of these
}

// swing works out the motion of one moving stretch.
func (a *analyser) swing(e *epoch, p part, smoother *motion.Smoother, gap float64) (Swing, error) {
	t := e.heights.Times
	s := Swing{From: seconds(t[p.from]), To: seconds(t[p.to]), first: t[p.from], last: t[p.to], epoch: e}
	options := loss.Options{}
	if p.held != nil {
		s.HeldFrom, s.HeldTo = seconds(t[p.held.from]), seconds(t[p.held.to])
		s.samples = a.held(p.held, s.HeldFrom, s.From)
		options.HeldFrom, options.HeldTo = s.HeldFrom, s.samples[len(s.samples)-1].T
	}
	raw := a.fit(&s, p, smoother, gap)
	found, err := loss.TurningPoints(s.samples, options)
	if err != nil {
		return s, err
	}
	s.Found = found
	if err := s.choose(p); err != nil {
		return s, err
	}
	a.states(&s, raw)
	return s, nil
}

// held makes samples of a hold, all at its median, for it has one place. The last stands
// just before the bob is seen to move.
func (a *analyser) held(h *hold, from, moves float64) []loss.Sample {
	const n, before = 40, 0.01
	samples := make([]loss.Sample, n)
	for i := range samples {
		samples[i] = loss.Sample{
			T:         from + (moves-before-from)*float64(i)/(n-1),
			Extension: energy.Estimate{Value: a.bench.Apparatus.Extension(h.height), U: h.u},
			Velocity:  energy.Estimate{U: h.u / blockTime},
		}
	}
	return samples
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
// adds the closer answers to the samples.
func (a *analyser) fit(s *Swing, p part, smoother *motion.Smoother, gap float64) []answer {
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
		sample.Gap = n > 0 && t[i]-t[i-1] > nanoseconds(gap)
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

// choose picks the turning points that the books are kept on.
func (s *Swing) choose(p part) error {
	points := s.Found.Points
	if n := len(points); p.rests && n > 4 {
		points = points[:n-2] // the hand that stops a bob may have made them
	}
	s.Record = longest(points)
	if points[0].Release && sameRecord(points, 3) {
		s.Record = recordOf(points, points[0].Record)
	}
	if s.Record[0].Release && len(s.Record) > 2 && !farthest(s.Record) {
		s.Record = s.Record[1:]
		s.Notes = append(s.Notes, "the bob was pushed, not only let go: books begin at the first turning point")
	}
	if len(s.Record) > mostTurns {
		s.Record = s.Record[:mostTurns]
		s.Notes = append(s.Notes, fmt.Sprintf("books end after %d turning points", mostTurns))
	}
	if len(s.Record) < 2 {
		return fmt.Errorf("%w: %d turning point in a row", loss.ErrFew, len(s.Record))
	}
	for _, lost := range s.Found.Lost {
		if lost.Count > 0 {
			s.Notes = append(s.Notes, fmt.Sprintf("%d turning points lost in a silence from %.2f s to %.2f s", lost.Count, lost.From, lost.To))
		} else {
			s.Notes = append(s.Notes, fmt.Sprintf("silence from %.2f s to %.2f s: how often the bob turned in it cannot be told", lost.From, lost.To))
		}
	}
	s.To = min(s.To, s.Record[len(s.Record)-1].T.Value+(s.Record[1].T.Value-s.Record[0].T.Value))
	return nil
}

// farthest reports whether a bob let go at the first turning point swings as if it had
// been at rest there: the place lies on its side of the middle of the next two turns,
// and at least half as far out.
func farthest(record []loss.Turning) bool {
	middle := (record[1].Extension.Value + record[2].Extension.Value) / 2
	out := record[0].Extension.Value - middle
	reach := record[2].Extension.Value - middle
	return out*reach > 0 && math.Abs(out) >= math.Abs(reach)/2
}

func sameRecord(points []loss.Turning, n int) bool {
	return len(points) >= n && points[n-1].Record == points[0].Record
}

func recordOf(points []loss.Turning, record int) []loss.Turning {
	n := 0
	for n < len(points) && points[n].Record == record {
		n++
	}
	return points[:n]
}

func longest(points []loss.Turning) []loss.Turning { return loss.Turnings{Points: points}.Longest() }

// plainCause drops what a person need not read.
func plainCause(err error) string {
	if errors.Is(err, loss.ErrStill) {
		return "no swing larger than the noise"
	}
	if errors.Is(err, loss.ErrFew) {
		return "fewer than two turning points in a row"
	}
	return err.Error()
}

// indexOf returns the index of the first time not before t.
func indexOf(times []int64, t int64) int {
	i, _ := slices.BinarySearch(times, t)
	return i
}

func hypot(a, b float64) float64 { return math.Hypot(a, b) }
