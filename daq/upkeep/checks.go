package upkeep

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"joulewell/calib"
	"joulewell/calib/drift"
	"joulewell/calib/drift/chart"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// Names of the books of check records, beside the calibration book.
const (
	forceChecks    = "checks_N.csv"
	distanceChecks = "checks_m.csv"
)

// checkBook is where the checks of a kind are kept.
func checkBook(k Kind) (name string, unit drift.Unit, err error) {
	switch k {
	case Force:
		return forceChecks, drift.Newtons, nil
	case Distance:
		return distanceChecks, drift.Metres, nil
	}
	return "", "", fmt.Errorf("the %s is not checked by a standard: calibrate it", k.Part())
}

// Checks makes check records of the points of a session: what the bench, calibrated as it
// is, says of each standard.
func (s *Session) Checks(when time.Time) ([]drift.Record, error) {
	if len(s.table.Points) == 0 {
		return nil, errors.New("no points yet: hang a check mass, or move the bob to a height measured with the rule, and take it")
	}
	var records []drift.Record
	for i := range s.table.Points {
		r, err := s.check(&s.table.Points[i])
		if err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		r.When, r.Air = when.Add(time.Duration(i)*time.Millisecond), s.air // in order, and together
		records = append(records, r)
	}
	return records, nil
}

// check makes a record of one point.
func (s *Session) check(p *Point) (drift.Record, error) {
	c := &s.bench.Bench.Calibration
	r := drift.Record{Readings: p.Readings}
	switch s.table.Kind {
	case Force:
		load, err := s.cabinet.load(p.Load)
		if err != nil {
			return r, err
		}
		if r.What = drift.Zero; len(load) > 0 {
			r.What, r.Standard = drift.Mass, strings.Join(load, " + ")
		}
		force, err := s.cabinet.set.Force(load)
		if err != nil {
			return r, err
		}
		r.Reference = energy.Estimate{Value: force, U: s.cabinet.u(load)}
		slope := math.Abs(c.Force.Span.Value + 2*c.Force.Bend.Value*(p.Reading.Value-c.Force.Zero.Value))
		r.Indication = energy.Estimate{Value: c.Force.Newtons(p.Reading.Value).Value, U: slope * p.Reading.U}
		return r, nil
	case Distance:
		height, err := length(p.Rule, "height")
		if err != nil {
			return r, err
		}
		r.What, r.Standard, r.Reference = drift.Height, "rule", height
		d, perUnit := c.Distance.Range(p.Reading.Value), 1e-3
		if s.table.Indication == Microsecs {
			sound := s.sound()
			d, perUnit = c.Distance.Echo(p.Reading.Value, sound), sound.Value*1e-6/2
		}
		r.Indication = energy.Estimate{Value: c.Distance.Height(d.Value), U: c.Distance.Scale.Value * perUnit * p.Reading.U}
		return r, nil
	}
	_, _, err := checkBook(s.table.Kind)
	return r, err
}

// sound is the speed of sound [m/s] in the air of the moment, as the bench reckons it.
func (s *Session) sound() energy.Estimate {
	t := s.bench.Bench.Calibration.Air.Temperature
	if !math.IsNaN(s.air) {
		t.Value = s.air
	}
	return calib.SpeedOfSound(t, s.wet)
}

// u is the standard uncertainty [N] of the force of a load.
func (c *Cabinet) u(load []string) float64 {
	sum := 0.0
	for _, p := range c.set.Pieces {
		for _, name := range load {
			if p.Name == name {
				sum += p.Mass.U * c.set.Gravity.Value // pieces of one set are off together
			}
		}
	}
	force, err := c.set.Force(load)
	if err != nil {
		return sum
	}
	return math.Hypot(sum, force*c.set.Gravity.U/c.set.Gravity.Value)
}

// KeepChecks writes the points of the session into the book of checks, ends the session,
// and returns what was written.
func (d *Desk) KeepChecks(note string) ([]drift.Record, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.session == nil {
		return nil, ErrNothing
	}
	records, err := d.session.Checks(d.clock().UTC())
	if err != nil {
		return nil, err
	}
	name, unit, err := checkBook(d.session.Kind())
	if err != nil {
		return nil, err
	}
	for i := range records {
		records[i].Note = strings.Join(strings.Fields(clean(note)), " ")
		if err := d.appendCheck(name, unit, records[i]); err != nil {
			return nil, err
		}
	}
	d.ended()
	return records, nil
}

func (d *Desk) appendCheck(name string, unit drift.Unit, r drift.Record) error {
	dir, err := os.OpenRoot(filepath.Dir(d.plain.Calibration))
	if err != nil {
		return fmt.Errorf("keep a check: %w", err)
	}
	defer dir.Close()
	err = drift.Append(dir, name, unit, r)
	if errors.Is(err, drift.ErrTorn) { // the power failed over the last record: what is left of it is kept aside
		if _, err = drift.Mend(dir, name); err == nil {
			err = drift.Append(dir, name, unit, r)
		}
	}
	return err
}

// Checked is how one standard of a sensor has been read over time.
type Checked struct {
	Kind     Kind
	What     drift.What
	Standard string
	History  drift.History // since the calibration that counts
	Needed   float64       // [N], [m] deviation that the calibration answers for
	Verdict  *drift.Verdict
	NotYet   string       // why there is no verdict; empty where there is
	Trend    *drift.Trend // nil where too few records tell it, or a day's at most
}

// leastTrend is how long records must reach for a drift to be told from them.
const leastTrend = 24 * time.Hour

// baseline is how many records, at most, show the level at first.
const baseline = 10

// Checked judges the standards of a kind by the records since its calibration.
func (d *Desk) Checked(k Kind) ([]Checked, error) {
	name, _, err := checkBook(k)
	if err != nil {
		return nil, err
	}
	file, standing := d.File(), d.Standing()
	if file.Calibration == "" {
		return nil, nil
	}
	dir, err := os.OpenRoot(filepath.Dir(file.Calibration))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the checks: %w", err)
	}
	defer dir.Close()
	all, err := drift.Load(dir, name)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil && !errors.Is(err, drift.ErrTorn) { // whose whole records stand
		return nil, err
	}
	for _, s := range standing {
		if s.Kind == k && s.Entry != nil {
			all = all.Since(s.Entry.Date)
		}
	}
	var list []Checked
	for _, h := range all.Standards() {
		first := &h.Records[0]
		c := Checked{Kind: k, What: first.What, Standard: first.Standard, History: h, Needed: needed(&file, k, first.Reference.Value)}
		rules := drift.Rules{Baseline: min(baseline, max(2, len(h.Records)/2)), Needed: c.Needed}
		rules.SD = spread(h, rules.Baseline)
		if v, err := drift.Judge(h, rules); err != nil {
			c.NotYet = err.Error()
		} else {
			c.Verdict = &v
		}
		reach := h.Records[len(h.Records)-1].When.Sub(first.When)
		if t, err := h.Trend(0.95); err == nil && reach >= leastTrend {
			c.Trend = &t
		}
		list = append(list, c)
	}
	return list, nil
}

// spread is the standard deviation of a record by the first few of a history. What so few
// show of it may be far too small by chance, so it is taken larger by what that chance
// allows, and no smaller than the records themselves state. 0 where there are too few.
func spread(h drift.History, first int) float64 {
	if len(h.Records) <= first {
		return 0
	}
	level, _ := chart.Learn(h.Deviations()[:first]) // none where they are all alike
	stated := 0.0
	for i := range h.Records {
		stated += h.Records[i].Indication.U / float64(len(h.Records))
	}
	return max(level.SD*(1+2/math.Sqrt(2*float64(first-1))), stated)
}

// needed is the deviation [N], [m] that a calibration answers for at a reference value:
// twice its standard uncertainty there, and a fifth of the sensor's noise at least.
func needed(f *setup.File, k Kind, reference float64) float64 {
	c := &f.Bench.Calibration
	if k == Force {
		span := c.Force.Span.Value
		return max(2*c.Force.Newtons(c.Force.Zero.Value+reference/span).U, c.Force.Noise/5)
	}
	return max(2*c.Distance.Common(math.Abs(reference-c.Distance.Offset.Value), 0), c.Distance.Noise/5)
}
