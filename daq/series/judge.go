package series

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
)

// rework returns the frames of a run with the uncertainties that no file holds.
func rework(run *runfile.Reader) (frames []frame.Frame, b *setup.Bench, err error) {
	if run.Meta() == nil {
		return nil, nil, errors.New("its metadata file is missing: apparatus and calibration stand there")
	}
	b = &run.Meta().Setup
	err = daq.Rework(run, b, func(_, again *frame.Frame) { frames = append(frames, *again) })
	return frames, b, err
}

func split(frames []frame.Frame, b *setup.Bench, r trials.Rule) (rows []trials.Row, err error) {
	all, err := trials.Split(frames, b, r)
	for _, t := range all {
		rows = append(rows, t.Row)
	}
	return rows, err
}

// judgement is what came of judging a run.
type judgement struct {
	of   recorded
	kept kept.Kept
	err  error
}

// errLater says that a run is not finished yet.
var errLater = errors.New("the run is not finished yet")

// judgeLater keeps in mind that a run is to be judged, over the end of the program too.
// The lock is held.
func (s *Series) judgeLater(r recorded) {
	if slices.ContainsFunc(s.memory.Unjudged, func(u recorded) bool { return u.Run == r.Run }) {
		return
	}
	s.memory.Unjudged = append(s.memory.Unjudged, r)
	s.remember()
}

// judgeNext begins to judge a run that is finished, if there is one.
func (s *Series) judgeNext(st *daq.Status) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.busy {
		return
	}
	for _, r := range s.memory.Unjudged {
		if st.Run.Active && st.Run.Name == r.Run || s.beat < s.after[r.Run] {
			continue
		}
		s.busy = true
		go func() { s.judging <- s.judge(r) }()
		return
	}
}

// judge judges a run from its file.
func (s *Series) judge(r recorded) judgement {
	j := judgement{of: r}
	run, err := s.finished(r.Run)
	if err != nil {
		j.err = err
		return j
	}
	defer run.Close()
	frames, b, err := rework(run)
	var rows []trials.Row
	if err == nil {
		rows, err = split(frames, b, r.Rule)
	}
	if err == nil && len(rows) == 0 && r.Own { // seen live, and not in the file
		var t *trials.Trial
		if t, err = trials.Work(frames, b, trials.Options{Release: r.Release, Over: r.Over}); err == nil {
			rows = []trials.Row{t.Row}
		}
	}
	if err != nil {
		j.err = fmt.Errorf("judge %s: %w", r.Run, err)
		return j
	}
	for i := range rows {
		rows[i] = holdable(rows[i])
		rows[i].Run = r.Run + ".csv"
		if r.Over == trials.BySilent && rows[i].Over == "" { // a file that breaks off does not say why
			rows[i].Over = r.Over
		}
	}
	m := run.Meta()
	j.kept = kept.Kept{
		Run: r.Run, Created: m.Created, Virtual: m.Virtual, Group: r.Group,
		Software: "joulewell " + s.opt.Version, Rule: &r.Rule, Trials: rows,
	}
	return j
}

// holdable returns a row that a file can hold: one bad number must not take a whole list
// with it.
func holdable(r trials.Row) trials.Row {
	_, err := json.Marshal(&r)
	if err == nil {
		return r
	}
	return trials.Row{
		Run: r.Run, Bench: r.Bench, Spring: r.Spring, Bob: r.Bob, Over: r.Over, Cycles: r.Cycles,
		Findings: []trials.Finding{{Fault: trials.Unread, Voids: true, Sentence: fmt.Sprintf("what was worked out cannot be written down: %v", err)}},
	}
}

// finished opens a run. One that could not be closed in order is repaired first, if there
// is room; one of which there is nothing is fs.ErrNotExist.
func (s *Series) finished(name string) (*runfile.Reader, error) {
	run, err := runfile.OpenNamed(s.dir, name)
	if !errors.Is(err, runfile.ErrNoRun) {
		return run, err
	}
	if _, err := s.dir.Lstat(name + ".csv.part"); err != nil {
		return nil, fmt.Errorf("judge %s: %w", name, fs.ErrNotExist)
	}
	if runfile.CheckRoom(s.dir, 1<<20) != nil {
		return nil, errLater
	}
	if _, err := runfile.Repair(s.dir); err != nil { // which leaves alone what is being written
		s.opt.Log.Warn("a run could not be repaired", "reason", err)
	}
	if run, err = runfile.OpenNamed(s.dir, name); errors.Is(err, runfile.ErrNoRun) {
		return nil, errLater
	}
	return run, err
}

// patience is how many ticks pass before a run that was not finished is looked for again.
const patience = 4

// judged takes what came of judging a run.
func (s *Series) judged(j judgement) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if errors.Is(j.err, errLater) {
		s.after[j.of.Run] = s.beat + patience
		return
	}
	delete(s.after, j.of.Run)
	s.memory.Unjudged = slices.DeleteFunc(s.memory.Unjudged, func(u recorded) bool { return u.Run == j.of.Run })
	if !j.of.Own {
		s.troubles.start = ""
	}
	switch {
	case errors.Is(j.err, fs.ErrNotExist):
		s.opt.Log.Warn("a run to be judged is gone", "run", j.of.Run)
	case j.err != nil:
		s.opt.Log.Error("a run could not be judged", "run", j.of.Run, "cause", j.err)
		s.troubles.end = j.err.Error()
	case len(j.kept.Trials) > 0:
		s.add(j.kept)
	}
	s.remember()
	s.changed()
}
