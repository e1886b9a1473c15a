package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"joulewell/daq/forget"
)

func forgetCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "forget FOLDER...",
		Short: "take notes and group labels out of folders of runs, and leave the readings",
		Long: "forget empties the note of every run and the label of every group in a folder, file by\n" +
			"file, each as a whole or not at all, removes what groups handed in, and says what it\n" +
			"did. Readings, results and everything else stay as they are. It cannot be undone. A\n" +
			"folder that a bench records into is refused. Copies elsewhere are yours to find.",
		Example: "  joulewell forget runs",
		Args:    arguments(1, many, "a folder of runs"),
		RunE: func(c *cobra.Command, args []string) error {
			failed := 0
			for _, path := range args {
				n, err := forgetFolder(c.OutOrStdout(), path)
				if err != nil {
					return fmt.Errorf("forget %s: %w", path, err)
				}
				failed += n
			}
			if failed > 0 {
				return fmt.Errorf("forget: not all is done, see above: files left as they are: %d", failed)
			}
			return nil
		},
	}
}

// forgetFolder sees to one folder, says what was done, and returns how many files failed.
func forgetFolder(out io.Writer, path string) (failed int, err error) {
	dir, err := os.OpenRoot(path)
	if err != nil {
		return 0, err
	}
	defer dir.Close()
	all, err := forget.Folder(dir)
	if err != nil {
		return 0, err
	}
	for _, d := range all {
		says := fmt.Sprintf("%d texts taken out", d.Taken)
		switch {
		case d.Err != nil:
			says = "LEFT AS IT IS: " + d.Err.Error()
			failed++
		case d.Removed:
			says = "removed"
		case d.Still:
			says = "not ours, and holds one of the texts: look at it yourself"
		case d.Taken == 1:
			says = "1 text taken out"
		}
		fmt.Fprintf(out, "%s: %s\n", filepath.Join(path, d.File), says)
	}
	if len(all) == 0 {
		fmt.Fprintf(out, "%s: no note and no label in it\n", path)
	}
	return failed, nil
}
