package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"

	"joulewell/daq/doctor"
	"joulewell/daq/setup"
)

func doctorCommand() *cobra.Command {
	var flags serveFlags
	c := &cobra.Command{
		Use:   "doctor",
		Short: "say whether a bench would work here and now, and what to do if not",
		Long: "doctor looks at the bench file, the port, the data folder, the clock, the calibrations\n" +
			"and the web address, and prints a line for each: ok, look or wrong, and what to do.\n" +
			"It opens no port and changes nothing. Exit status 1 when something is wrong.",
		Example: "  joulewell doctor --config bench.toml",
		Args:    arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			o := doctor.Options{Path: flags.config, Now: time.Now}
			if _, err := os.Stat(benchFile); o.Path == "" && err == nil {
				o.Path = benchFile
			}
			if o.File, o.Err = flags.file(); o.Err != nil {
				o.File = setup.Blank()
				flags.over(&o.File)
			}
			facts := doctor.Gather(c.Context(), o)
			wrong := 0
			for _, f := range doctor.Examine(&facts) {
				do := ""
				if f.Do != "" {
					do = ": " + f.Do
				}
				fmt.Fprintf(c.OutOrStdout(), "%-5s  %-11s  %s%s\n", f.Verdict, f.About, f.Says, do)
				if f.Verdict == doctor.Wrong {
					wrong++
				}
			}
			if wrong > 0 {
				return errors.New("doctor: not everything is right: see the lines marked wrong")
			}
			return nil
		},
	}
	flags.add(c)
	return c
}
