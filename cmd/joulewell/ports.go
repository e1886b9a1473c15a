package main

import (
	"cmp"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"joulewell/daq/source"
)

func portsCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "ports",
		Short:   "list the serial ports, without opening any",
		Example: "  joulewell ports",
		Args:    arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			ports, err := source.ListPorts(source.Roots{})
			if err != nil {
				return err
			}
			if len(ports) == 0 {
				fmt.Fprintln(c.ErrOrStderr(), "no serial port found: is the device plugged in?")
				return nil
			}
			w := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "port\tUSB id\tdevice\taccess")
			for _, p := range ports {
				fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", p.Stable(), usbID(p), cmp.Or(p.Text, "-"), access(p))
			}
			return w.Flush()
		},
	}
}

func usbID(p source.Port) string {
	if p.Vendor == "" {
		return "-"
	}
	return p.Vendor + ":" + p.Product
}

func access(p source.Port) string {
	switch {
	case p.Access:
		return "yes"
	case p.Group == "root":
		return "no: root's own; the rules of udev give it to a group"
	case p.Group != "":
		return "no: join group " + p.Group
	}
	return "no"
}
