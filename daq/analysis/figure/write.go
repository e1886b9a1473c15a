package figure

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"joulewell/daq/analysis"
)

// Write makes the folder dir, if need be, and writes the figures of a run into it, as
// NAME-swing-N-KIND.svg. It replaces figures of the same name, which it can make again.
func Write(dir, run string, r *analysis.Run) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("write figures: %w", err)
	}
	name := strings.TrimSuffix(run, filepath.Ext(run))
	for i := range r.Swings {
		drawn, err := Draw(&r.Swings[i])
		if err != nil {
			return fmt.Errorf("swing %d: %w", i+1, err)
		}
		for _, d := range drawn {
			path := filepath.Join(dir, fmt.Sprintf("%s-swing-%d-%s.svg", name, i+1, d.Kind))
			if err := os.WriteFile(path, d.SVG, 0o644); err != nil {
				return fmt.Errorf("write figures: %w", err)
			}
		}
	}
	return nil
}
