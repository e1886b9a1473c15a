package main

import (
	"fmt"
	"log/slog"
	"strings"

	"github.com/spf13/cobra"

	"joulewell/daq/source"
	"joulewell/daq/virtual"
)

// virtualFlags choose a virtual bench.
type virtualFlags struct {
	preset string
	seed   uint64
	faults []string
}

func (v *virtualFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&v.preset, "preset", v.preset, "which virtual bench: "+strings.Join(presetNames(), ", "))
	c.Flags().Uint64Var(&v.seed, "seed", v.seed, "seed of its noise; the same seed gives the same readings")
	c.Flags().StringArrayVar(&v.faults, "fault", nil, "switch on a fault, `NAME[=STRENGTH][@SECONDS]`; joulewell virtual --faults lists them")
}

func (v *virtualFlags) config() (virtual.Config, error) {
	preset, ok := presets()[v.preset]
	if !ok {
		return virtual.Config{}, usageError{fmt.Errorf("--preset %s: there is no such virtual bench; there are %s", v.preset, strings.Join(presetNames(), ", "))}
	}
	config := preset()
	config.Seed = v.seed
	var err error
	if config.Faults, err = virtual.ParseFaults(v.faults); err != nil {
		return virtual.Config{}, usageError{err}
	}
	return config, nil
}

// device makes the virtual bench that the flags choose.
func (v *virtualFlags) device() (virtual.Config, *virtual.Device, error) {
	config, err := v.config()
	if err != nil {
		return config, nil, err
	}
	device, err := virtual.New(config)
	return config, device, err
}

func presets() map[string]func() virtual.Config {
	return map[string]func() virtual.Config{
		"tamar":    virtual.Default,
		"quiet":    func() virtual.Config { return virtual.Quiet(1000) },
		"lossless": virtual.Lossless,
	}
}

func presetNames() []string { return []string{"tamar", "quiet", "lossless"} }

func virtualCommand(log *slog.Logger) *cobra.Command {
	bench := virtualFlags{preset: "tamar"}
	var link string
	var list bool
	c := &cobra.Command{
		Use:   "virtual",
		Short: "play the virtual bench into a pseudo-terminal, as a microcontroller would",
		Long: "virtual prints the path of a pseudo-terminal on which the virtual bench talks like\n" +
			"a real device. Read it in a second terminal with joulewell serve --port PATH.",
		Example: "  joulewell virtual\n  joulewell virtual --link /tmp/bench --fault reset@20",
		Args:    arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			if list {
				for _, f := range virtual.Faults() {
					fmt.Fprintf(c.OutOrStdout(), "%-16s %-9s %s\n", f.Name, strings.TrimSuffix(fmt.Sprintf("%g %s", f.Strength, f.Unit), " 1"), f.Does)
				}
				return nil
			}
			_, device, err := bench.device()
			if err != nil {
				return err
			}
			counts, err := source.ServePty(c.Context(), device, source.PtyOptions{
				Link: link, Speed: 1,
				Ready: func(path string) { fmt.Fprintln(c.OutOrStdout(), path) },
			})
			log.Info("pseudo-terminal closed", "opens", counts.Opens, "bytes", counts.Sent, "dropped", counts.Dropped)
			return err
		},
	}
	c.Flags().StringVar(&link, "link", "", "symbolic link to keep pointing at the pseudo-terminal")
	c.Flags().BoolVar(&list, "faults", false, "list the faults and end")
	bench.add(c)
	return c
}
