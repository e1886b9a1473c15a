package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// wrongOption says of an option that is not known, or not well written, what there is.
func wrongOption(c *cobra.Command, err error) error {
	if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok {
		var all []string
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { all = append(all, "--"+f.Name) })
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		return usageError{fmt.Errorf("%s: there is no option %s%s, only %s", c.Name(), dashes, unknown.GetSpecifiedName(), strings.Join(all, ", "))}
	}
	if bad, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		_, about := pflag.UnquoteUsage(bad.GetFlag())
		return usageError{fmt.Errorf("%s: --%s %s: must be a %s: %s", c.Name(), bad.GetFlag().Name, bad.GetValue(),
			kindOf(bad.GetFlag()), about)}
	}
	return usageError{fmt.Errorf("%s: %w", c.Name(), err)}
}

// kindOf is in plain words what an option takes.
func kindOf(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "float64":
		return "number without a unit"
	case "int", "uint64":
		return "whole number"
	case "duration":
		return "time with its unit, as in 30s"
	}
	return f.Value.Type()
}
