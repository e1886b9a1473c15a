package main

import (
	"log/slog"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
)

func demoCommand(log *slog.Logger) *cobra.Command {
	bench := virtualFlags{preset: "tamar"}
	listen, data := setup.Blank().Listen, "runs"
	c := &cobra.Command{
		Use:   "demo",
		Short: "show the virtual bench in a browser, no hardware needed",
		Long: "demo plays the virtual bench \"Tamar\": a brass bob dropped on spring S-4, caught\n" +
			"and raised again every half minute. Open the printed address in a browser.",
		Example: "  joulewell demo\n  joulewell demo --listen 127.0.0.1:9000 --data /tmp/runs --fault lost-echo=0.1",
		Args:    arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			config, device, err := bench.device()
			if err != nil {
				return err
			}
			clock := source.NewClock()
			file := setup.Blank()
			file.Bench, file.Listen, file.Data = virtual.Setup(config), listen, data
			file.Calibration = filepath.Join(data, "virtual-"+bench.preset+"-calibration.toml")
			desk, err := upkeep.Open(file, time.Now)
			if err != nil {
				return err
			}
			desk.Employ(device)
			s := station{
				file: desk.File(), desk: desk, clock: clock, log: log, out: c.OutOrStdout(),
				source: source.NewVirtual(device, source.PlayOptions{Name: "virtual bench", Speed: 1, Clock: clock}),
			}
			return s.run(c.Context())
		},
	}
	c.Flags().StringVar(&listen, "listen", listen, "address and port of the web server")
	c.Flags().StringVar(&data, "data", data, "folder of the run files")
	bench.add(c)
	return c
}
