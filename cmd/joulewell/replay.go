package main

import (
	"bufio"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"

	"github.com/spf13/cobra"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/wire"
)

func replayCommand(log *slog.Logger) *cobra.Command {
	var check bool
	var out string
	listen, speed := setup.Blank().Listen, 1.0
	c := &cobra.Command{
		Use:   "replay RUN.csv",
		Short: "play a recorded run back through the same pipeline",
		Long: "replay shows a recorded run in the browser as it happened. With --check or --out it\n" +
			"works the run out again at once instead, with the apparatus and calibration in its\n" +
			"metadata file, and tells whether the derived columns come out the same.",
		Example: "  joulewell replay runs/2026-11-25T184210Z-tamar.csv\n  joulewell replay --check runs/2026-11-25T184210Z-tamar.csv",
		Args:    arguments(1, 1, "a run file"),
		RunE: func(c *cobra.Command, args []string) error {
			if !(speed > 0) {
				return usageError{fmt.Errorf("--speed %g: must be positive", speed)}
			}
			run, err := openRun(args[0])
			if err != nil {
				return err
			}
			defer run.Close()
			if run.Meta() == nil {
				return fmt.Errorf("replay %s: its metadata file %s-metadata.json is missing: apparatus and calibration stand there", args[0], filepath.Base(args[0]))
			}
			if check || out != "" {
				return rework(c.OutOrStdout(), run, args[0], out)
			}
			clock := source.NewClock()
			file := setup.Blank()
			file.Bench, file.Listen, file.Data = run.Meta().Setup, listen, "" // nothing is recorded
			s := station{file: file, clock: clock, log: log, out: c.OutOrStdout()}
			s.source = source.NewReplay(readings(run), run.Meta().Virtual, source.PlayOptions{
				Name: "replay of " + filepath.Base(args[0]), Speed: speed, Clock: clock,
			})
			return s.run(c.Context())
		},
	}
	c.Flags().BoolVar(&check, "check", false, "work the run out again and compare, without a browser")
	c.Flags().StringVar(&out, "out", "", "write the run as worked out again to this file (- for standard output)")
	c.Flags().StringVar(&listen, "listen", listen, "address and port of the web server")
	c.Flags().Float64Var(&speed, "speed", speed, "times real time")
	return c
}

// readings feeds a recorded run to the pipeline.
func readings(run *runfile.Reader) source.NextReading {
	return func() (wire.Reading, int64, uint32, error) {
		var f frame.Frame
		err := run.Next(&f)
		return f.Reading, f.T, f.Epoch, err
	}
}

// rework compares a run with itself as worked out again, and writes the latter.
func rework(stdout io.Writer, run *runfile.Reader, name, out string) error {
	sink := io.Discard
	if out == "-" {
		sink = stdout
	} else if out != "" {
		f, err := create(out)
		if err != nil {
			return fmt.Errorf("write the run as worked out again: %w", err)
		}
		defer f.Close()
		sink = f
	}
	w := bufio.NewWriter(sink)
	w.Write(runfile.AppendHeader(nil))
	var line []byte
	c, err := daq.Compare(run, run.Meta(), func(again *frame.Frame) {
		line = runfile.AppendRow(line[:0], again)
		w.Write(line)
	})
	if err != nil {
		return err
	}
	if err := w.Flush(); err != nil {
		return fmt.Errorf("write the run as worked out again: %w", err)
	}
	if c.Differing > 0 {
		return fmt.Errorf("replay %s: %d of %d rows come out differently, the first is row %d, column %s", name, c.Differing, c.Rows, c.First, c.Column)
	}
	if meta := run.Meta(); meta.Complete && meta.Rows != uint64(c.Rows) {
		return fmt.Errorf("replay %s: it holds %d rows, its metadata file says %d: rows were taken out or added since", name, c.Rows, meta.Rows)
	}
	if out != "-" {
		fmt.Fprintf(stdout, "%s: %d rows, all derived columns come out the same\n", filepath.Base(name), c.Rows)
	}
	if c.Unfinished > 0 && out != "-" {
		fmt.Fprintf(stdout, "(but for the last %d: the run was cut short, and the readings that followed them are not in it)\n", c.Unfinished)
	}
	return nil
}
