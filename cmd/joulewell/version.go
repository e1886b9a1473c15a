package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is the program's own; the build adds the revision where it knows it.
func version() string {
	const release = "0.1.0"
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return release
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return release + "+" + s.Value[:12]
		}
	}
	return release
}

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "print the version",
		Example: "  joulewell version",
		Args:    arguments(0, 0, ""),
		Run: func(c *cobra.Command, _ []string) {
			fmt.Fprintf(c.OutOrStdout(), "joulewell %s %s %s/%s\n", version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
		},
	}
}
