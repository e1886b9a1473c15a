package paper

import (
	"fmt"
	"io"
	"strings"

	"joulewell/daq/analysis"
	"joulewell/daq/analysis/report"
	"joulewell/daq/workup"
	"joulewell/energy/quantity"
)

// Report is what a report is made of.
type Report struct {
	Runs     []*workup.Run
	Refused  []Refusal
	Software string // name and version of the program
	Command  string // that makes the same report again
	Book     string // calibration book that was looked into; empty = none was there
}

// Refusal is a run that could not be worked out.
type Refusal struct{ Run, Why string }

// A run gets figures of its first swings, which take up to 120 kB each, tables of some
// more, 16 kB, and a line of each.
const (
	mostDrawn = 2
	mostTold  = 8
)

// Write writes the report: of one run, or of a set with a first page about all.
func (r *Report) Write(w io.Writer) error {
	page := struct {
		*Report
		Title   string
		Set     bool
		Virtual bool // the only run is simulated
		All     table
		Pages   []*run
	}{Report: r, Title: "Where the joules went", Set: len(r.Runs)+len(r.Refused) > 1}
	page.All = all(r.Runs)
	for i, one := range r.Runs {
		v, err := runOf(one, fmt.Sprintf("run-%d", i+1))
		if err != nil {
			return fmt.Errorf("report on %s: %w", one.Name, err)
		}
		page.Pages = append(page.Pages, v)
		page.Virtual = !page.Set && one.Meta.Virtual
	}
	return write(w, "report.html", page)
}

// all is the table of the runs of a set.
func all(runs []*workup.Run) table {
	t := table{
		Caption: "All runs of this report; ± is the expanded uncertainty, k = 2",
		Head:    []column{{"run", false}, {"bench", false}, {"swings", true}, {"lost in the first swing", true}, {"of", true}, {"trials that count", true}},
	}
	for _, r := range runs {
		first := r.Whole.Swings[0].Whole
		t.Rows = append(t.Rows, []string{r.Name, bench(r), fmt.Sprint(len(r.Whole.Swings)), joules(first.Lost), joules(first.Swing), tally(r)})
	}
	return t
}

// bench says where a run was made, and of what.
func bench(r *workup.Run) string {
	text := r.Meta.Setup.Name + ", " + hung(&r.Meta.Setup)
	if r.Meta.Virtual {
		text += "; simulated"
	}
	return text
}

// run is a run as the page shows it.
type run struct {
	*workup.Run
	ID          string
	Begun       string
	About       string
	Several     table    // all swings, where there are several
	Swings      []*swing // the first of them
	Undrawn     bool     // some of these have no figures
	Untold      int      // swings that stand in Several alone
	Apparatus   table
	Calibration table
	Readings    []string
	Judged      table
	Findings    []string
}

func runOf(r *workup.Run, id string) (*run, error) {
	v := &run{
		Run: r, ID: id, Begun: r.Meta.Created.UTC().Format("2006-01-02 15:04:05 UTC"), About: hung(&r.Meta.Setup),
		Apparatus: apparatus(&r.Meta.Setup), Calibration: calibration(r), Readings: readings(r.Whole), Judged: judged(r), Findings: findings(r),
	}
	n := len(r.Whole.Swings)
	v.Several, v.Untold = several(r.Whole.Swings), max(0, n-mostTold)
	for i := range min(n, mostTold) {
		title, figures := "The swing", fmt.Sprintf("%s-swing-%d", id, i+1)
		if n > 1 {
			title = fmt.Sprintf("Swing %d of %d", i+1, n)
		}
		if i >= mostDrawn {
			figures, v.Undrawn = "", true
		}
		s := &r.Whole.Swings[i]
		made, err := swingOf(s, fmt.Sprintf("%s, %.2f s to %.2f s", title, s.Whole.From, s.To), figures)
		if err != nil {
			return nil, err
		}
		v.Swings = append(v.Swings, made)
	}
	return v, nil
}

// several is the table of all swings of a run.
func several(swings []analysis.Swing) table {
	t := table{
		Caption: "All swings of the run; ± is the expanded uncertainty, k = 2",
		Head:    []column{{"swing", true}, {"from / s", true}, {"to / s", true}, {"period / s", true}, {"lost / mJ", true}, {"of / mJ", true}, {"decay", false}},
	}
	for i := range swings {
		s := &swings[i]
		law := "cannot tell"
		if s.Evidence != nil && s.Evidence.Verdict != "" {
			law = s.Evidence.Verdict
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), fmt.Sprintf("%.2f", s.Whole.From), fmt.Sprintf("%.2f", s.To),
			report.Shown(s.Period, one), report.Shown(&s.Whole.Lost, milli), report.Shown(&s.Whole.Swing, milli), law})
	}
	return t
}

// readings says what the run consists of.
func readings(r *analysis.Run) []string {
	c := &r.Counts
	list := []string{
		fmt.Sprintf("%d rows over %.1f s: %d distances, %d forces; %d without an echo, %d out of range.", c.Rows, r.Length, c.Distances, c.Forces, c.NoEcho, c.OutOfRange),
		fmt.Sprintf("One distance scatters by %s; the motion was fitted in windows of %.0f ms, chosen from the readings, with no law of the spring.",
			quantity.Length.Text(r.Noise, r.Noise), 2*milli*r.HalfWidth),
	}
	if d := r.Delay; d != nil {
		text := fmt.Sprintf("Of force after distance, %s were calibrated and taken out; Newton's second law finds %s more, of which friction can feign %.2g ms.",
			in("ms", d.Calibrated, milli), in("ms", d.Lag, milli), milli*d.Friction)
		if d.Disagrees {
			text += " The two disagree: calibrate the delay."
		}
		list = append(list, text)
	}
	from := "the floor"
	if r.Reference != 0 {
		from = quantity.Length.Text(r.Reference, 0) + " above the floor"
	}
	return append(list, "Gravitational energy counts from "+from+".")
}

// Notes are those of file and run.
func (v *run) Notes() []string {
	return append(append([]string{}, v.Run.Notes...), v.Whole.Notes...)
}

// Sidecar is the name of the run's metadata file.
func (v *run) Sidecar() string { return v.Name + ".csv-metadata.json" }

// Simulated marks a section of a set.
func (v *run) Simulated() bool { return v.Meta.Virtual }

// Note is what was typed at the start of the run.
func (v *run) Note() string { return strings.TrimSpace(v.Meta.Note) }
