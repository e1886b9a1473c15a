package main

import (
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/trials/collect"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
)

// benchFile is read when --config is not given and it lies in the working folder.
const benchFile = "bench.toml"

// serveFlags override the bench file.
type serveFlags struct {
	config, port, listen, data string
	class                      []string
	check                      bool
	door                       doorFlags
}

func serveCommand(log *slog.Logger) *cobra.Command {
	var flags serveFlags
	c := &cobra.Command{
		Use:   "serve",
		Short: "read a bench on a serial port, show it in a browser, record runs",
		Long: "serve reads the device on a serial port and waits for it whenever it is unplugged.\n" +
			"What hangs on the bench is read from bench.toml; without one the values of the\n" +
			"virtual bench stand in, which suits joulewell virtual and nothing else.",
		Example: "  joulewell serve --config bench.toml\n  joulewell serve --port /dev/ttyUSB0 --listen 127.0.0.1:8420 --data runs\n" +
			"  joulewell serve --check --config bench.toml\n" +
			"  joulewell serve --class runs --class /media/severn/runs\n" +
			"  joulewell serve --listen 0.0.0.0:8420 --key-file bench.key --host tamar.lab.example",
		Args: arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			plain, err := flags.file()
			if err != nil {
				return err
			}
			desk, err := upkeep.Open(plain, time.Now)
			if err != nil {
				return err
			}
			file := desk.File()
			clock := source.NewClock()
			serial, err := source.NewSerial(source.SerialOptions{
				Port: file.Device.Port, Baud: file.Device.Baud, Clock: clock, Log: log,
			})
			if err != nil {
				return err
			}
			if flags.check {
				fmt.Fprint(c.OutOrStdout(), file.Summary())
				printStanding(c.OutOrStdout(), desk)
				return nil
			}
			door, err := flags.door.open()
			if err != nil {
				return err
			}
			benches, err := flags.benches(file.Data)
			if err != nil {
				return err
			}
			s := station{file: file, class: benches, desk: desk, door: door, source: serial, clock: clock, log: log, out: c.OutOrStdout()}
			return s.run(c.Context())
		},
	}
	flags.add(c)
	flags.door.add(c)
	c.Flags().StringArrayVar(&flags.class, "class", nil, "folder of a bench whose results the Class page shows; may be given several times")
	c.Flags().BoolVar(&flags.check, "check", false, "check the bench file, print what it means and end")
	return c
}

// benches are the folders of a class; nil where none were named. The bench's own may be
// among them, and is made by then.
func (s *serveFlags) benches(own string) (*collect.Benches, error) {
	if len(s.class) == 0 {
		return nil, nil
	}
	if slices.Contains(s.class, own) {
		if err := os.MkdirAll(own, 0o755); err != nil {
			return nil, fmt.Errorf("make the data folder: %w", err)
		}
	}
	return collect.OpenBenches(s.class)
}

func (s *serveFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&s.config, "config", "", "the bench file (bench.toml in this folder when it is there)")
	c.Flags().StringVar(&s.port, "port", "", "path, usb:VENDOR:PRODUCT, usb:VENDOR:PRODUCT:SERIAL or auto")
	c.Flags().StringVar(&s.listen, "listen", "", "address and port of the web server")
	c.Flags().StringVar(&s.data, "data", "", "folder of the run files")
}

// file is the bench file with the flags laid over it.
func (s *serveFlags) file() (setup.File, error) {
	file, err := s.read()
	if err != nil {
		return setup.File{}, err
	}
	s.over(&file)
	return file, nil
}

// over lays the flags over a bench file.
func (s *serveFlags) over(file *setup.File) {
	for _, o := range []struct {
		to   *string
		flag string
	}{{&file.Device.Port, s.port}, {&file.Listen, s.listen}, {&file.Data, s.data}} {
		if o.flag != "" {
			*o.to = o.flag
		}
	}
}

func (s *serveFlags) read() (setup.File, error) {
	if s.config != "" {
		return openBench(s.config)
	}
	if _, err := os.Stat(benchFile); !errors.Is(err, fs.ErrNotExist) {
		return openBench(benchFile)
	}
	if s.check {
		return setup.File{}, usageError{errors.New("serve --check: there is no bench.toml in this folder; name one with --config")}
	}
	file := setup.Blank()
	file.Bench = virtual.Setup(virtual.Default())
	file.Bench.Name += " (no bench.toml)"
	return file, nil
}
