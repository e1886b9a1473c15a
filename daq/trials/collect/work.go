package collect

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/tidy"
)

// work works the trials of a run out anew.
func (c *collector) work(dir *os.Root, at, name, run string) {
	r, err := runfile.OpenNamed(dir, run)
	if errors.Is(err, runfile.ErrForeign) {
		c.table(dir, at, name)
		return
	}
	if err != nil {
		c.trouble(at, true, plain(err))
		return
	}
	defer r.Close()
	meta := r.Meta()
	if meta == nil {
		c.trouble(at, true, fmt.Errorf("%s-metadata.json is missing, and with it apparatus and calibration: was one of the two renamed?", name))
		return
	}
	var frames []frame.Frame // worked out anew, with the uncertainties that no file holds
	rows := &watched{Rows: r}
	compared, err := daq.Compare(rows, meta, func(again *frame.Frame) { frames = append(frames, *again) })
	if err != nil {
		c.trouble(at, true, plain(err))
		return
	}
	switch {
	case meta.Complete && meta.Rows != uint64(compared.Rows):
		c.trouble(at, true, fmt.Errorf("it holds %d rows, its metadata file says %d: rows were taken out or added since", compared.Rows, meta.Rows))
	case rows.derived && compared.Differing > 0:
		c.trouble(at, false, fmt.Errorf("%d of %d rows do not follow from their own readings, the first is row %d, column %s: the file was edited, or another version wrote it",
			compared.Differing, compared.Rows, compared.First, compared.Column))
	}
	before, _ := kept.Read(dir, run) // its label, its rule and what people said of its trials stay
	rule := &c.Rule
	if before.Rule != nil && !c.Ruled {
		rule = before.Rule
	}
	all, err := trials.Split(frames, &meta.Setup, *rule)
	if err != nil {
		c.trouble(at, true, plain(err))
		return
	}
	k := kept.Kept{
		Run: run, Created: meta.Created, Virtual: meta.Virtual, Group: before.Group, Software: c.Software,
		Rule: rule, Trials: []trials.Row{},
	}
	for _, t := range all {
		t.Row.Run = name
		overrule(&t.Row, before.Trials)
		k.Trials = append(k.Trials, t.Row)
	}
	if len(all) == 0 {
		c.trouble(at, false, errors.New("no release seen in it"))
	}
	c.Kept = append(c.Kept, k)
	if c.Keep {
		if err := keep(dir, k); err != nil {
			c.trouble(at, false, fmt.Errorf("its trials were not kept: %w", plain(err)))
		}
	}
}

// keep leaves a folder alone that a daemon keeps.
func keep(dir *os.Root, k kept.Kept) error {
	hold, err := runfile.Hold(dir)
	if err != nil {
		return err
	}
	return errors.Join(kept.Write(dir, k), hold.Close())
}

// overrule says of a trial what a person said of it when it was judged before.
func overrule(row *trials.Row, before []trials.Row) {
	const same = 0.25 // [s] between the release found now and then
	for i := range before {
		if old := &before[i]; old.Overruled && math.Abs(old.Release-row.Release) < same {
			row.Overrule(old.Counts)
		}
	}
}

// table takes a table of trials, if it is one.
func (c *collector) table(dir *os.Root, at, name string) {
	f, err := dir.Open(name)
	if err != nil {
		c.trouble(at, true, plain(err))
		return
	}
	defer f.Close()
	all, faults, err := tidy.Read(f)
	if err != nil {
		c.trouble(at, false, errors.New("it is neither a run file nor a table of trials: passed over"))
		return
	}
	for _, fault := range faults {
		c.trouble(at, true, fault)
	}
	c.tables = append(c.tables, table{at, all})
}

// table is a table of trials.
type table struct {
	path string
	kept []kept.Kept
}

// merge takes from tables the runs that were not found themselves, or in a table before.
func (c *collector) merge() {
	for _, t := range c.tables {
		known := 0
		for _, k := range t.kept {
			if slices.ContainsFunc(c.Kept, func(o kept.Kept) bool { return o.Run == k.Run && bench(&o) == bench(&k) }) {
				known++
				continue
			}
			c.Kept = append(c.Kept, k)
		}
		if known > 0 {
			c.trouble(t.path, false, fmt.Errorf("%d of its %d runs were found already, and count once", known, len(t.kept)))
		}
	}
}

func bench(k *kept.Kept) string {
	if len(k.Trials) == 0 {
		return ""
	}
	return k.Trials[0].Bench
}

// watched notes whether rows hold derived columns at all.
type watched struct {
	daq.Rows
	derived bool
}

func (w *watched) Next(f *frame.Frame) error {
	err := w.Rows.Next(f)
	if err == nil && f.Distance.Known() {
		w.derived = true
	}
	return err
}
