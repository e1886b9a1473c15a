package series

import (
	"strconv"
	"strings"
)

// A mark names a state of a series: the life of it, from [Open] on, and the revision. Who
// holds one needs to be told only what has changed since.

// Mark names the state that a view shows.
func (v *View) Mark() string { return v.life + "-" + strconv.FormatUint(v.Revision, 10) }

// Since returns the places in v.Trials of what changed after the state of a mark; what did
// not has kept its order. Where that cannot be told it is all of them, and known is false:
// with no mark, with one of another life, or after all has changed, as by the seal.
func (v *View) Since(mark string) (at []int, known bool) {
	number, same := strings.CutPrefix(mark, v.life+"-")
	revision, err := strconv.ParseUint(number, 10, 64)
	known = same && err == nil && revision >= v.whole && revision <= v.Revision
	for i := range v.Trials {
		if !known || v.Trials[i].changed > revision {
			at = append(at, i)
		}
	}
	return at, known
}

// touched counts a change of what a run came to. The lock is held.
func (s *Series) touched(l *list) {
	s.changed()
	l.changed = s.revision
}

// seal withholds results or gives them out, which changes all of them. The lock is held.
func (s *Series) seal(sealed bool) {
	s.memory.Sealed = sealed
	s.changed()
	s.whole = s.revision
}
