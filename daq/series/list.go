package series

import (
	"fmt"
	"slices"
	"time"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/table"
)

// Trial is one trial of the data folder.
type Trial struct {
	Run     string     `json:"run"`     // name of its run, without extension
	Index   int        `json:"index"`   // [1] place among the trials of the run, from 0
	Created time.Time  `json:"created"` // the instant of the run's time zero
	Group   string     `json:"group"`
	Virtual bool       `json:"virtual"` // the readings are simulated
	Row     trials.Row `json:"row"`

	changed uint64 // [1] revision of its last change; 0 = as it was read
}

// View is a series at one moment.
type View struct {
	Armed     bool
	State     trials.State
	Rule      trials.Rule
	Group     string // label for the trials to come
	Sealed    bool
	Asked     Asked  // the worksheet that the seal is about
	Recording string // name of the run of the trial going on; may be empty
	Trouble   string // what is wrong, and what to do; may be empty
	Revision  uint64 // [1] grows with every change
	Trials    []Trial

	life  string // tells the revisions of this series from those of one opened before
	whole uint64 // [1] revision at which all trials changed
}

// Brief is what of a series can change at any moment.
type Brief struct {
	Armed    bool         `json:"armed"`
	State    trials.State `json:"state"`
	Sealed   bool         `json:"sealed"`
	Revision uint64       `json:"revision"` // [1] grows with every change of what GET /api/trials tells

	Extensions bool `json:"-"` // they are withheld too, for the sheet asks for them
}

// Withholds reports whether the seal keeps a column back: energies, and extensions where
// students are to work them out.
func (b *Brief) Withholds(c *frame.Column) bool {
	return b.Sealed && c.Energy() || b.Extensions && c.Extension()
}

// list is what is kept of one run.
type list struct {
	kept.Kept
	changed uint64 // [1] revision of its last change; 0 = as it was read
	unsaved bool   // the disk would not take it
}

// troubles are what is wrong, by what can mend it.
type troubles struct {
	start string // the last release was not recorded as it should
	end   string // the last run was not closed, or not judged
	keep  string // something could not be kept on the disk
	read  string // something in the folder could not be read
}

// read reads what is kept of earlier trials.
func (s *Series) read() {
	all, faults := kept.List(s.dir)
	for _, k := range all {
		s.lists = append(s.lists, list{Kept: k})
	}
	if n := len(faults); n > 0 {
		for _, f := range faults {
			s.opt.Log.Warn("kept trials cannot be read", "cause", f)
		}
		s.troubles.read = faults[0].Error()
		if n > 1 {
			s.troubles.read += fmt.Sprintf(" (and %d more)", n-1)
		}
	}
}

// add takes the trials of a run in, and keeps them. The lock is held.
func (s *Series) add(k kept.Kept) {
	s.changed()
	if i := slices.IndexFunc(s.lists, func(l list) bool { return l.Run == k.Run }); i >= 0 {
		s.lists = slices.Delete(s.lists, i, i+1)
		s.whole = s.revision
	}
	at, _ := slices.BinarySearchFunc(s.lists, k, func(l list, k kept.Kept) int { return l.Created.Compare(k.Created) })
	s.lists = slices.Insert(s.lists, at, list{Kept: k, changed: s.revision})
	s.keep(&s.lists[at])
}

// keep writes what is kept of a run. The lock is held.
func (s *Series) keep(l *list) {
	err := kept.Write(s.dir, l.Kept)
	l.unsaved = err != nil
	if err != nil {
		s.troubles.keep = fmt.Sprintf("%v: it stays in memory, and is written when the disk takes it", err)
	}
}

// mend writes what the disk would not take, once a second.
func (s *Series) mend() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.troubles.keep == "" || s.beat%4 != 0 {
		return
	}
	s.troubles.keep = ""
	if s.memory.unsaved {
		s.remember()
	}
	for i := range s.lists {
		if l := &s.lists[i]; l.unsaved {
			s.keep(l)
		}
	}
}

// trouble is all that is wrong. The lock is held.
func (s *Series) trouble(st *daq.Status) string {
	run := ""
	if s.now != nil && st.Run.Name == s.now.Run {
		run = st.Run.Trouble
	}
	text := ""
	for _, t := range []string{run, s.troubles.start, s.troubles.end, s.troubles.keep, s.troubles.read} {
		if t != "" && text != "" {
			text += "; "
		}
		text += t
	}
	return text
}

// Brief returns what can change at any moment. It waits for nothing.
func (s *Series) Brief() Brief {
	b := *s.brief.Load()
	if now := s.ear.state.Load(); b.Armed && now != nil && s.opt.Bench.Status().Fresh {
		b.State = *now
	}
	return b
}

// Sealed reports whether results are withheld. It waits for nothing.
func (s *Series) Sealed() bool { return s.brief.Load().Sealed }

// View returns all there is to tell. What its rows point to is shared and must not be
// changed.
func (s *Series) View() View {
	st := s.opt.Bench.Status()
	s.mu.Lock()
	defer s.mu.Unlock()
	v := View{
		Armed: s.armed, State: s.Brief().State, Rule: s.rule, Group: s.group, Sealed: s.memory.Sealed, Asked: s.memory.Asked,
		Trouble: s.trouble(st), Revision: s.revision, Trials: []Trial{},
		life: s.life, whole: s.whole,
	}
	if s.now != nil {
		v.Recording = s.now.Run
	}
	for i := range s.lists {
		l := &s.lists[i]
		for n, row := range l.Trials {
			v.Trials = append(v.Trials, Trial{l.Run, n, l.Created, l.Group, l.Virtual, row, l.changed})
		}
	}
	return v
}

// Tally counts the trials by outcome: those that count, and those left out.
func (s *Series) Tally() map[string]int {
	s.mu.Lock()
	defer s.mu.Unlock()
	tally := map[string]int{"counted": 0, "left_out": 0}
	for i := range s.lists {
		for n := range s.lists[i].Trials {
			if s.lists[i].Trials[n].Counts {
				tally["counted"]++
			} else {
				tally["left_out"]++
			}
		}
	}
	return tally
}

// Table is what the trials say together.
func (v *View) Table() table.Table { return table.Of(kept.Trials(v.Kept())) }

// Kept is what is kept of each run, for a table.
func (v *View) Kept() (all []kept.Kept) {
	for _, t := range v.Trials {
		if n := len(all); n == 0 || all[n-1].Run != t.Run {
			all = append(all, kept.Kept{Run: t.Run, Created: t.Created, Group: t.Group, Virtual: t.Virtual})
		}
		last := &all[len(all)-1]
		last.Trials = append(last.Trials, t.Row)
	}
	return all
}

// find returns the place of a trial. The lock is held.
func (s *Series) find(run string, index int) (*list, error) {
	i := slices.IndexFunc(s.lists, func(l list) bool { return l.Run == run })
	if i < 0 || index < 0 || index >= len(s.lists[i].Trials) {
		return nil, fmt.Errorf("%w: run %s, number %d", ErrNoTrial, run, index)
	}
	return &s.lists[i], nil
}

// Overrule lets a person say whether a trial counts.
func (s *Series) Overrule(run string, index int, count bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	l, err := s.find(run, index)
	if err != nil {
		return err
	}
	l.Trials[index].Overrule(count)
	s.keep(l)
	s.touched(l)
	return nil
}

// Relabel says which group made the trials of a run.
func (s *Series) Relabel(run, label string) error {
	if err := checkGroup(label); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	l, err := s.find(run, 0)
	if err != nil {
		return err
	}
	l.Group = label
	s.keep(l)
	s.touched(l)
	return nil
}
