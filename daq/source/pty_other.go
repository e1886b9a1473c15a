//go:build !linux

package source

import (
	"context"
	"errors"
)

// ServePty works on Linux only.
func ServePty(context.Context, Player, PtyOptions) (PtyCounts, error) {
	return PtyCounts{}, errors.New("open pseudo-terminal: this works on Linux only")
}
