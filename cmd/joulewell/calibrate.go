package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"joulewell/daq/upkeep"
)

// calibrateFlags are what every calibration is told.
type calibrateFlags struct {
	config, from  string
	by, note, due string
	dry, check    bool
	swings        []string // recorded runs, for timing
	strokes       []string // likewise
	pull          string   // a recorded run, for a spring
	port          string
}

func calibrateCommand(log *slog.Logger) *cobra.Command {
	var flags calibrateFlags
	c := &cobra.Command{
		Use:   "calibrate force|distance|timing|spring",
		Short: "find what a sensor's numbers mean, or the spring's law, and keep it in the calibration book",
		Long: "calibrate works out a load cell by check masses, a ranging sensor by a rule, the delay\n" +
			"between the two from recorded swings, or a spring by lengths under loads, periods with\n" +
			"them or a slow pull, and adds the result to the\n" +
			"calibration book beside the bench file, where the newest entry of each kind counts.\n" +
			"With --check the points are kept as checks of the present calibration instead.\n" +
			"With --from it takes what was read from a file; without, it reads the bench live and\n" +
			"asks what hangs on it. Nothing in the book is ever changed.\n\n" +
			"Springs under tension and falling masses can hurt: wear eye protection, catch what\n" +
			"hangs by a slack cord, and follow your institution's rules.",
		Example: "  joulewell calibrate force --config bench.toml\n" +
			"  joulewell calibrate spring --config bench.toml --from lengths.csv --by \"evening group\" --dry-run\n" +
			"  joulewell calibrate timing --config bench.toml --swing runs/a.csv --swing runs/b.csv\n" +
			"  (lengths.csv: load_g,length_mm / 100,158.5 / 200,198.1 / ...)",
		Args: arguments(1, 1, "what is to be calibrated"),
		RunE: func(c *cobra.Command, args []string) error {
			kind, err := upkeep.ParseKind(args[0])
			if err != nil {
				return usageError{err}
			}
			signing, err := flags.signing()
			if err != nil {
				return usageError{err}
			}
			desk, err := openDesk(flags.config)
			if err != nil {
				return err
			}
			if found, err := flags.fromRuns(kind, desk); found != nil || err != nil {
				if err != nil {
					return err
				}
				return flags.keep(c.OutOrStdout(), &upkeep.Table{Kind: kind}, found, desk, signing)
			}
			if flags.from != "" {
				return flags.fromFile(c.OutOrStdout(), kind, desk, signing)
			}
			return flags.live(c.Context(), kind, desk, signing, c.InOrStdin(), c.OutOrStdout(), log)
		},
	}
	c.Flags().StringVar(&flags.config, "config", benchFile, "the bench file")
	c.Flags().StringVar(&flags.from, "from", "", "take the points from this CSV file instead of the bench; columns of\n"+
		"force: load_g, reading_counts or reading_N, and where known reading_u_..., time_s, hold_s\n(seconds that the largest load has hung, for creep);\n"+
		"distance: height_mm, reading_us or reading_mm; spring: load_g, length_mm or period_s")
	c.Flags().StringArrayVar(&flags.swings, "swing", nil, "timing: a `RUN.csv` of a free swing; may be given several times")
	c.Flags().StringArrayVar(&flags.strokes, "strokes", nil, "timing: a `RUN.csv` of the spring's lower end moved to and fro by hand, nothing on it")
	c.Flags().StringVar(&flags.pull, "pull", "", "spring: a `RUN.csv` of the spring drawn out slowly and let back")
	c.Flags().StringVar(&flags.by, "by", "", "who does it, free text for the book")
	c.Flags().StringVar(&flags.note, "note", "", "for the book")
	c.Flags().StringVar(&flags.due, "due", "", "day on which to do it again, YYYY-MM-DD (a year from now)")
	c.Flags().BoolVar(&flags.dry, "dry-run", false, "print the result and write nothing")
	c.Flags().BoolVar(&flags.check, "check", false, "keep the points as checks of the present calibration, for joulewell drift")
	c.Flags().StringVar(&flags.port, "port", "", "of the device, in place of the bench file's")
	return c
}

func (f *calibrateFlags) signing() (upkeep.Signing, error) {
	s := upkeep.Signing{By: f.by, Note: f.note}
	if f.due == "" {
		return s, nil
	}
	due, err := time.Parse(time.DateOnly, f.due)
	if err != nil {
		return s, fmt.Errorf("--due %s: a day is written as in 2027-05-31", f.due)
	}
	s.Due = due
	return s, nil
}

// openDesk reads a bench file with its calibration book.
func openDesk(path string) (*upkeep.Desk, error) {
	file, err := openBench(path)
	if err != nil {
		return nil, err
	}
	return upkeep.Open(file, time.Now)
}

// fromFile calibrates from a file of points.
func (f *calibrateFlags) fromFile(out io.Writer, k upkeep.Kind, desk *upkeep.Desk, s upkeep.Signing) error {
	table, err := upkeep.ReadTable(f.from, k)
	if err != nil {
		return err
	}
	if f.check {
		if err := desk.Resume(table); err != nil {
			return err
		}
		return f.keepChecks(out, desk)
	}
	cabinet, err := desk.Cabinet()
	if err != nil {
		return err
	}
	file := desk.File()
	found, err := table.Find(&file, cabinet)
	if err != nil {
		return fmt.Errorf("%s: %w", f.from, err)
	}
	return f.keep(out, &table, found, desk, s)
}

// keep prints what was found and writes it into the book.
func (f *calibrateFlags) keep(out io.Writer, table *upkeep.Table, found *upkeep.Finding, desk *upkeep.Desk, s upkeep.Signing) error {
	file := desk.File()
	printFinding(out, table, found)
	if f.dry {
		fmt.Fprintln(out, "nothing was written (--dry-run)")
		return nil
	}
	if _, err := desk.Keep(table.Entry(found, &file), s); err != nil {
		return err
	}
	fmt.Fprintf(out, "kept in %s\n", file.Calibration)
	return nil
}

// fromRuns calibrates from recorded runs, where they were given.
func (f *calibrateFlags) fromRuns(k upkeep.Kind, desk *upkeep.Desk) (*upkeep.Finding, error) {
	file := desk.File()
	switch {
	case k == upkeep.Timing && f.from == "" && len(f.swings)+len(f.strokes) == 0:
		return nil, usageError{errors.New("calibrate timing: give recorded runs with --swing or --strokes")}
	case k == upkeep.Timing && f.from == "":
		swings, err := recordings(f.swings)
		if err != nil {
			return nil, err
		}
		strokes, err := recordings(f.strokes)
		if err != nil {
			return nil, err
		}
		return upkeep.FindDelay(&file, swings, strokes)
	case k == upkeep.Spring && f.pull != "":
		runs, err := recordings([]string{f.pull})
		if err != nil {
			return nil, err
		}
		return upkeep.FindPull(&file, runs[0])
	}
	return nil, nil
}

// recordings opens run files; they are read once and closed with the program.
func recordings(names []string) ([]upkeep.Recording, error) {
	var list []upkeep.Recording
	for _, name := range names {
		run, err := openRun(name)
		if err != nil {
			return nil, err
		}
		if run.Meta() == nil {
			return nil, fmt.Errorf("%s: its metadata file is missing: the calibration of then stands there", name)
		}
		list = append(list, upkeep.Recording{Name: name, Rows: run, Bench: &run.Meta().Setup})
	}
	return list, nil
}

// keepChecks keeps the points of the session in progress as checks.
func (f *calibrateFlags) keepChecks(out io.Writer, desk *upkeep.Desk) error {
	if f.dry {
		return usageError{errors.New("--check and --dry-run: give one of them")}
	}
	records, err := desk.KeepChecks(f.note)
	if err != nil {
		return err
	}
	printRecords(out, records)
	return nil
}

// printFinding prints what was found, for a person.
func printFinding(out io.Writer, t *upkeep.Table, found *upkeep.Finding) {
	fmt.Fprintf(out, "%s\n\n", found.Summary)
	for _, q := range found.Figures {
		fmt.Fprintf(out, "  %-36s %12s %-8s", q.Name, decimals(q.Value, q.U), q.Unit)
		if !math.IsNaN(q.U) {
			fmt.Fprintf(out, "  u %.2g", q.U)
		}
		if !math.IsNaN(q.Share) {
			fmt.Fprintf(out, "  (%.2g of the largest load)", q.Share)
		}
		fmt.Fprintln(out)
	}
	if len(found.Residuals) > 0 {
		unit, at, factor := "mN", "N", 1e3
		if t.Kind != upkeep.Force {
			unit = "mm"
		}
		if t.Kind == upkeep.Distance {
			at = "m"
		}
		fmt.Fprintf(out, "\n  point      at %s   off by %s\n", at, unit)
		for _, r := range found.Residuals {
			fmt.Fprintf(out, "  %5d  %9.4f  %10.3f\n", r.Point+1, r.At, r.Off*factor)
		}
	}
	for _, d := range found.Doubts {
		fmt.Fprintf(out, "CAUTION: %s\n", d.Text)
	}
	fmt.Fprintln(out)
}

// decimals writes a value to the second digit of its uncertainty.
func decimals(v, u float64) string {
	if !(u > 0) {
		return fmt.Sprintf("%.3g", v)
	}
	digits := int(math.Floor(math.Log10(math.Max(math.Abs(v), u)))) - int(math.Floor(math.Log10(u))) + 2
	return fmt.Sprintf("%.*g", max(2, digits), v)
}

// live calibrates at the bench: it says when the reading rests, and asks what hangs.
func (f *calibrateFlags) live(ctx context.Context, k upkeep.Kind, desk *upkeep.Desk, s upkeep.Signing, in io.Reader, out io.Writer, log *slog.Logger) error {
	if err := desk.Begin(k); err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- listenTo(ctx, desk, f.port, log) }()
	talk := dialogue{desk: desk, out: out, flags: f, signing: s}
	err := talk.run(ctx, in, ended)
	stop()
	return errors.Join(err, ignoreCancelled(<-ended))
}

func ignoreCancelled(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// help tells what can be typed.
func (d *dialogue) help(k upkeep.Kind) {
	what := map[upkeep.Kind]string{
		upkeep.Force:    "Hang a load, wait, type what hangs (none, 100 g, A + B) and press Enter.",
		upkeep.Distance: "Move the bob, wait, type the height of its lowest point by the rule (38.1 cm) and press Enter.",
		upkeep.Spring:   "Hang a load, type it and the length of the spring, or the period of its swing, with a comma between (100 g, 158.5 mm).",
	}
	fmt.Fprintf(d.out, "%s\nOther words: undo, show, done, quit.\n", strings.TrimSpace(what[k]))
}

// printStanding says which calibrations count, for a person.
func printStanding(out io.Writer, desk *upkeep.Desk) {
	for _, s := range desk.Standing() {
		if s.Entry != nil {
			fmt.Fprintf(out, "  the %s was calibrated on %s\n", s.Kind.Part(), s.Entry.Date.Format(time.DateOnly))
		}
		for _, caution := range []string{s.Stale, s.Overdue(desk.Now())} {
			if caution != "" {
				fmt.Fprintf(out, "  CAUTION: %s\n", caution)
			}
		}
	}
}
