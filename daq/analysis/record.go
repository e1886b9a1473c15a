package analysis

import (
	"errors"
	"fmt"
	"math"

	"joulewell/energy/loss"
)

// mostTurns bounds the books of a swing, whose evidence is weighed on all turning points.
const mostTurns = 2000

// choose picks the turning points that the books are kept on.
func (a *analyser) choose(s *Swing, p part) error {
	points := s.Found.Points
	if n := len(points); p.rests && n > 4 {
		points = points[:n-2] // the hand that stops a bob may have made them
	}
	s.Record = loss.Turnings{Points: points}.Longest()
	if own := firstRecord(points); own[0].Release && len(own) > 2 {
		s.Record = own
	}
	if s.Record[0].Release && len(s.Record) > 2 {
		s.Push = a.push(s, p, s.Record[2].T.Value-s.Record[0].T.Value)
		a.dropPushed(s)
	}
	if len(s.Record) > mostTurns {
		s.Record = s.Record[:mostTurns]
		s.Notes = append(s.Notes, fmt.Sprintf("books end after %d turning points", mostTurns))
	}
	if len(s.Record) < 2 {
		return fmt.Errorf("%w: %d turning point in a row", loss.ErrFew, len(s.Record))
	}
	if err := loss.Ripples(s.Record, a.bench.Apparatus.Spring.Mass.Value/a.bench.Apparatus.Bob.Mass.Value); err != nil {
		return err
	}
	if a.closes(s.Record) {
		s.Notes = append(s.Notes, "coils close at the top of the swing, which throws energy into waves along them: it is gone from the swing and counts as lost, whatever rubs or not")
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

// dropPushed takes the place of the release out of the books where the bob did not leave it
// at rest: the hand's work on it is not known.
func (a *analyser) dropPushed(s *Swing) {
	switch {
	case s.Push != nil && s.Push.Pushed:
		s.Notes = append(s.Notes, fmt.Sprintf("the bob was pushed, not only let go, and left the hand at %.2f m/s ± %.2f m/s (k = %d): books begin at the first turning point",
			math.Abs(s.Push.Speed.Value), loss.Coverage*s.Push.Speed.U, loss.Coverage))
	case !farthest(s.Record):
		s.Notes = append(s.Notes, "the bob was pushed, not only let go: books begin at the first turning point")
	default:
		return
	}
	s.Record = s.Record[1:]
}

// closes reports whether coils of a spring with initial tension close while the bob swings:
// above the extension from which all are open. Initial tension of less than a third of the
// spring's weight closes too few to matter, and so does a spring of a fiftieth of the bob
// (seen on simulated benches).
func (a *analyser) closes(record []loss.Turning) bool {
	spring, g := &a.bench.Apparatus.Spring, a.bench.Apparatus.Gravity.Value
	weight := spring.Mass.Value * g
	if spring.InitialTension.Value < weight/3 || spring.Mass.Value < a.bench.Apparatus.Bob.Mass.Value/50 {
		return false
	}
	for i := range record {
		if record[i].Extension.Value < weight/(2*spring.Rate.Value) {
			return true
		}
	}
	return false
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

// firstRecord returns the turning points that are counted from the first.
func firstRecord(points []loss.Turning) []loss.Turning {
	n := 0
	for n < len(points) && points[n].Record == points[0].Record {
		n++
	}
	return points[:n]
}

// plain drops what a person need not read.
func plain(err error) string {
	switch {
	case errors.Is(err, loss.ErrStill):
		return "no swing larger than the noise"
	case errors.Is(err, loss.ErrFew):
		return "fewer than two turning points in a row"
	}
	return err.Error()
}
