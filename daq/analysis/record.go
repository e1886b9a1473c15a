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
func (s *Swing) choose(p part) error {
	points := s.Found.Points
	if n := len(points); p.rests && n > 4 {
		points = points[:n-2] // the hand that stops a bob may have made them
	}
	s.Record = loss.Turnings{Points: points}.Longest()
	if own := firstRecord(points); own[0].Release && len(own) > 2 {
		s.Record = own
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
