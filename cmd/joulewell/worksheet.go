package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"joulewell/energy/balance"
	"joulewell/energy/slip"
	"joulewell/energy/worksheet"
	"joulewell/webui/paper"
)

// worksheetFlags say what the sheet is to hold, and in which form it is wanted.
type worksheetFlags struct {
	title      string
	print, ask []string
	digits     int
	key        bool
	html       string
	hand       hand
	readings   balance.Readings
}

func worksheetCommand() *cobra.Command {
	f := worksheetFlags{title: "Energies of a bob on a spring"}
	c := &cobra.Command{
		Use:   "worksheet",
		Short: "make a sheet for students to work out by hand, and its key",
		Long: "worksheet prints what was read of two states of the bob and blanks for what is to be\n" +
			"worked out: extensions, energies, differences, percent, an explanation. Readings are\n" +
			"written as for joulewell balance. Keep the sheet with --json: joulewell mark holds\n" +
			"students' figures against it.",
		Example: "  joulewell worksheet --config bench.toml --start-height 78.4cm --end-height 59.4cm --html sheet.html\n" +
			"  joulewell worksheet --config bench.toml --from readings.csv --ask start_total,end_total,lost --key",
		Args: arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			if err := f.hand.gather(c, &f.readings.Bench); err != nil {
				return err
			}
			choice := worksheet.Choice{Title: f.title, Readings: ids(f.print), Results: ids(f.ask), Digits: f.digits}
			if f.digits == 0 {
				choice.Digits = worksheet.Needed(f.readings, choice)
			}
			sheet, key, err := worksheet.New(f.readings, choice)
			if err != nil {
				return refused(err)
			}
			return f.write(c.OutOrStdout(), sheet, key)
		},
	}
	f.hand.take(f.readings.Fields())
	f.hand.add(c)
	c.Flags().StringVar(&f.title, "title", f.title, "of the sheet")
	c.Flags().StringSliceVar(&f.print, "print", nil, "readings that students get (all that were taken), of\n"+folded(worksheet.Readings()))
	c.Flags().StringSliceVar(&f.ask, "ask", nil, "results that they work out (all that can be), of\n"+folded(worksheet.Results()))
	c.Flags().IntVar(&f.digits, "digits", 0, "significant digits to which anybody may round on the way\n(as many as what was lost needs, 3 at least)")
	c.Flags().BoolVar(&f.key, "key", false, "print the key, and not the sheet")
	c.Flags().StringVar(&f.html, "html", "", "write the sheet, or the key, as a page to print into this `file`")
	return c
}

// folded are names in a few lines, for a list of options.
func folded(all []worksheet.ID) string {
	var lines strings.Builder
	for i, id := range all {
		switch {
		case i > 0 && i%5 == 0:
			lines.WriteString(",\n")
		case i > 0:
			lines.WriteString(", ")
		}
		lines.WriteString(string(id))
	}
	return lines.String()
}

func ids(names []string) []worksheet.ID {
	var list []worksheet.ID
	for _, n := range names {
		list = append(list, worksheet.ID(strings.ReplaceAll(strings.TrimSpace(n), "-", "_")))
	}
	return list
}

func (f *worksheetFlags) write(out io.Writer, sheet *worksheet.Sheet, key *worksheet.Key) error {
	var data any = sheet
	text := sheet.Text()
	if f.key {
		data, text = key, key.Text()
	}
	switch {
	case f.html != "":
		return f.page(sheet, key)
	case f.hand.json:
		return printJSON(out, data)
	}
	_, err := io.WriteString(out, text)
	return err
}

// page writes the sheet or the key as a page; a file that is there is left alone.
func (f *worksheetFlags) page(sheet *worksheet.Sheet, key *worksheet.Key) error {
	if !f.key {
		key = nil
	}
	file, err := create(f.html)
	if err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	return errors.Join(paper.Worksheet(file, sheet, key), file.Close())
}

func markCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "mark SHEET.json FIGURES.csv",
		Short: "hold a student's figures against a worksheet, with hints and without answers",
		Long: "mark says which of a student's figures are right within honest rounding, which only\n" +
			"follow from an earlier slip, and where a known slip explains one, in a hint that gives\n" +
			"nothing away. FIGURES.csv has two columns, figure and value with its unit, such as\n" +
			"start_elastic,0.42 J. The figures a sheet may ask for are\n\n" + folded(worksheet.Results()) + ".",
		Example: "  joulewell worksheet --config bench.toml --from readings.csv --json > sheet.json\n  joulewell mark sheet.json group-3.csv",
		Args:    arguments(2, 2, "a sheet and the figures to hold against it"),
		RunE: func(c *cobra.Command, args []string) error {
			sheet, err := readSheet(args[0])
			if err != nil {
				return err
			}
			figures, err := readFigures(args[1])
			if err != nil {
				return err
			}
			report, err := slip.Hold(sheet, figures)
			if err != nil {
				return fmt.Errorf("%s: %w", args[1], err)
			}
			if asJSON {
				return printJSON(c.OutOrStdout(), report)
			}
			printMarks(c.OutOrStdout(), report, sheet.Digits)
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print for a program")
	return c
}

func readSheet(name string) (*worksheet.Sheet, error) {
	if err := present(name); err != nil {
		return nil, fmt.Errorf("read the sheet: %w: joulewell worksheet --json makes one", err)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("read the sheet: %w", err)
	}
	var sheet worksheet.Sheet
	if err := json.Unmarshal(text, &sheet); err != nil {
		return nil, fmt.Errorf("read %s: %w: joulewell worksheet --json makes a sheet", name, err)
	}
	return &sheet, nil
}

func readFigures(name string) (map[worksheet.ID]string, error) {
	if err := present(name); err != nil {
		return nil, fmt.Errorf("read the figures: %w", err)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("read the figures: %w", err)
	}
	entries, err := csvEntries(string(text))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	figures := map[worksheet.ID]string{}
	for _, e := range entries {
		id := worksheet.ID(strings.TrimSpace(e.name))
		if id == "figure" { // the header
			continue
		}
		if _, twice := figures[id]; twice {
			return nil, fmt.Errorf("read %s: %s: %s is given twice", name, e.where, id)
		}
		figures[id] = e.text
	}
	if len(figures) == 0 {
		return nil, fmt.Errorf("read %s: no figure stands in it: write one a line, as in start_elastic,0.42 J", name)
	}
	return figures, nil
}

// printMarks prints a verdict for each blank, then the hints, then what the verdicts mean
// on a sheet that lets people round to so many digits.
func printMarks(out io.Writer, r *slip.Report, digits int) {
	for _, m := range r.Marks {
		fmt.Fprintf(out, "%-56s %s", m.ID.Label(), m.Verdict)
		if len(m.From) > 0 {
			var from []string
			for _, id := range m.From {
				from = append(from, id.Label())
			}
			fmt.Fprintf(out, ", from %s", strings.Join(slices.Compact(from), ", "))
		}
		fmt.Fprintln(out)
	}
	for _, f := range r.Findings {
		fmt.Fprintf(out, "- %s\n", f.Hint)
	}
	fmt.Fprintln(out)
	for _, v := range r.Verdicts() {
		fmt.Fprintf(out, "%s: %s\n", v, v.Meaning(digits))
	}
}
