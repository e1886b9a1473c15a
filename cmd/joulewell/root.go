package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"time"

	"github.com/spf13/cobra"
)

// usageError marks a command line that cannot be meant.
type usageError struct{ error }

// run is the whole program: it can be started many times in one process.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := commands(slog.New(newSparing(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: slog.LevelWarn}), time.Now)))
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	fmt.Fprintf(stderr, "joulewell: %v\n", err)
	if _, wrong := errors.AsType[usageError](err); wrong {
		fmt.Fprintf(stderr, "joulewell: hint: joulewell --help lists the commands, joulewell COMMAND --help its options\n")
		return 2
	}
	return 1
}

// commands is the command line, complaints of the running program going to log.
func commands(log *slog.Logger) *cobra.Command {
	root := &cobra.Command{
		Use:   "joulewell",
		Short: "energies of a bob on a spring, live for a class and kept for the reckoning",
		Long: "joulewell reads a distance sensor and a load cell, shows kinetic, elastic,\n" +
			"gravitational and total energy in a browser as they change, and logs runs to CSV.\n\n" +
			"Springs under tension, falling masses and ranging lasers can hurt: pad the floor\n" +
			"under the bob, keep feet and eyes away, and follow your institution's rules.",
		Example:                    "  joulewell demo",
		SilenceErrors:              true,
		SilenceUsage:               true,
		CompletionOptions:          cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:                       cobra.ArbitraryArgs,
		RunE:                       noCommand,
		SuggestionsMinimumDistance: 2,
		Version:                    version(),
	}
	root.SetFlagErrorFunc(wrongOption)
	root.AddCommand(
		demoCommand(log), serveCommand(log), virtualCommand(log), replayCommand(log), doctorCommand(),
		balanceCommand(), planCommand(), analyseCommand(), reportCommand(), calibrateCommand(log), driftCommand(),
		trialsCommand(), gatherCommand(), forgetCommand(), worksheetCommand(), markCommand(), portsCommand(), versionCommand(),
	)
	return root
}

// noCommand answers a command line without a command that we know.
func noCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return root.Help()
	}
	meant := ""
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		meant = "; did you mean " + near[0] + "?"
	}
	return usageError{fmt.Errorf("%s: there is no such command%s", args[0], meant)}
}

// many is no upper limit to the number of arguments.
const many = math.MaxInt

// arguments refuses a number of arguments outside least and most as wrong usage, and
// tells what is to be named instead.
func arguments(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usageError{fmt.Errorf("%s: name %s: joulewell %s", c.Name(), what, c.Use)}
		case len(args) <= most:
			return nil
		case most == 0:
			return usageError{fmt.Errorf("%s: %s: this command takes options only, and they begin with --", c.Name(), args[0])}
		}
		return usageError{fmt.Errorf("%s: %s is one too many: joulewell %s", c.Name(), args[most], c.Use)}
	}
}
