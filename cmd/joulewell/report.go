package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"joulewell/daq/setup"
	"joulewell/daq/upkeep"
	"joulewell/daq/workup"
	"joulewell/webui/paper"
)

// reportFlags say where the report goes and what the runs do not know.
type reportFlags struct {
	out     string
	replace bool
	book    string
	model   model
}

func reportCommand() *cobra.Command {
	f := reportFlags{out: "report.html", book: setup.Book}
	c := &cobra.Command{
		Use:   "report RUN.csv...",
		Short: "write what runs showed into one page to print or keep",
		Long: "report works recorded runs out as a whole and writes one HTML file that needs nothing\n" +
			"besides itself: apparatus and calibration with their uncertainties, the ledger of the\n" +
			"loss, what to measure better, the decay, turning points, figures, the trials and what\n" +
			"was found against them. Of several runs it makes a set with a first page about all. A\n" +
			"run that cannot be worked out is named, and the others are written all the same.",
		Example: "  joulewell report runs/2026-11-25T184210Z-tamar.csv\n" +
			"  joulewell report runs/*.csv -o evening.html --bob-diameter 25",
		Args: arguments(1, many, "a run file"),
		RunE: func(c *cobra.Command, args []string) error {
			r, err := f.work(c, args)
			if err != nil {
				return err
			}
			if err := f.write(r); err != nil {
				return err
			}
			return complaints(r)
		},
	}
	c.Flags().StringVarP(&f.out, "output", "o", f.out, "`file` to write")
	c.Flags().BoolVar(&f.replace, "replace", false, "write over a file that is there")
	c.Flags().StringVar(&f.book, "book", f.book, "calibration book of the bench, for what was read at its calibrations;\nwithout one there, a report does without")
	f.model.add(c)
	return c
}

// work works out the runs.
func (f *reportFlags) work(c *cobra.Command, names []string) (*paper.Report, error) {
	if err := f.model.check(); err != nil {
		return nil, err
	}
	if _, err := os.Lstat(f.out); err == nil && !f.replace {
		return nil, fmt.Errorf("write the report: %s is there already: choose another name with -o, or say --replace", f.out)
	}
	if err := present(f.book); err != nil && c.Flags().Changed("book") {
		return nil, fmt.Errorf("read the calibration book: %w: it lies beside the bench file, as %s unless that says otherwise", err, setup.Book)
	}
	book, err := upkeep.Load(f.book)
	if err != nil {
		return nil, err
	}
	r := &paper.Report{Software: "joulewell " + version(), Command: commandLine(c, names)}
	if len(book) > 0 {
		r.Book = filepath.Base(f.book)
	}
	for _, name := range names {
		run, err := f.open(c, name, book)
		switch {
		case c.Context().Err() != nil:
			return nil, c.Context().Err()
		case err != nil:
			r.Refused = append(r.Refused, paper.Refusal{Run: name, Why: err.Error()})
		default:
			r.Runs = append(r.Runs, run)
		}
	}
	return r, nil
}

func (f *reportFlags) open(c *cobra.Command, path string, book upkeep.Book) (*workup.Run, error) {
	if err := isRun(path); err != nil {
		return nil, err
	}
	name, ok := strings.CutSuffix(filepath.Base(path), ".csv")
	if !ok {
		return nil, errors.New("not a run file: their names end in .csv")
	}
	dir, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	return workup.Open(c.Context(), dir, name, workup.Options{Book: book, Analysis: f.model.on})
}

// write writes the report in one go, so that what cannot be made leaves no file.
func (f *reportFlags) write(r *paper.Report) error {
	if len(r.Runs) == 0 {
		return nil
	}
	var page bytes.Buffer
	if err := r.Write(&page); err != nil {
		return err
	}
	flags := os.O_WRONLY | os.O_CREATE | os.O_EXCL
	if f.replace {
		flags = os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	}
	file, err := os.OpenFile(f.out, flags, 0o644)
	if err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	_, err = page.WriteTo(file)
	return errors.Join(err, file.Close())
}

// complaints are the runs that are not in the report.
func complaints(r *paper.Report) error {
	var all []error
	for _, no := range r.Refused {
		all = append(all, fmt.Errorf("report on %s: %s", no.Run, no.Why))
	}
	if len(r.Runs) == 0 {
		all = append(all, errors.New("no report was written"))
	}
	return errors.Join(all...)
}

// commandLine is the command as it can be given again to a shell.
func commandLine(c *cobra.Command, names []string) string {
	words := []string{"joulewell", c.Name()}
	c.Flags().Visit(func(g *pflag.Flag) {
		if g.Name != "replace" { // it changes nothing of what is written
			words = append(words, "--"+g.Name, paper.Quoted(g.Value.String()))
		}
	})
	if slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(n, "-") }) {
		words = append(words, "--")
	}
	for _, n := range names {
		words = append(words, paper.Quoted(n))
	}
	return strings.Join(words, " ")
}
