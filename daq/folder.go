package daq

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"

	"joulewell/daq/runfile"
)

// openFolder makes and opens the data folder, takes it for this program until hold is
// closed, and repairs runs that were cut short.
func openFolder(dir string, log *slog.Logger) (root *os.Root, hold io.Closer, err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, nil, fmt.Errorf("open the data folder: %w", err)
	}
	if root, err = os.OpenRoot(dir); err != nil {
		return nil, nil, fmt.Errorf("open the data folder: %w", err)
	}
	if hold, err = runfile.Hold(root); err != nil {
		root.Close()
		return nil, nil, fmt.Errorf("%w: end that one, or choose another folder with --data", err)
	}
	if err := writable(root); err != nil {
		root.Close()
		hold.Close()
		return nil, nil, fmt.Errorf("write to the data folder %s: %w: choose another with --data", dir, err)
	}
	repaired, err := runfile.Repair(root)
	if err != nil {
		log.Warn("a run could not be repaired", "reason", err)
	}
	for _, r := range repaired {
		log.Warn("repaired a run that was cut short", "run", r.Name, "rows", r.Rows, "bytes_cut", r.Cut)
	}
	return root, hold, nil
}

// writable tries whether files can be made in a folder, now rather than when the bob has
// been let go.
func writable(root *os.Root) error {
	const name = ".joulewell-trial"
	f, err := root.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), root.Remove(name))
}

// Folder returns the data folder; nil where nothing is recorded.
func (b *Bench) Folder() *os.Root { return b.dir }

// Runs lists the finished runs in the data folder, newest first.
func (b *Bench) Runs() ([]runfile.Info, error) {
	if b.dir == nil {
		return nil, ErrNoFolder
	}
	return runfile.List(b.dir)
}

// OpenRun opens the CSV file of a finished run; an unknown name is fs.ErrNotExist.
func (b *Bench) OpenRun(name string) (io.ReadSeekCloser, runfile.Info, error) {
	info, err := b.find(name)
	if err != nil {
		return nil, info, err
	}
	f, err := b.dir.Open(info.File)
	return f, info, err
}

// RunMetadata returns the table description of a finished run as stored; an unknown
// name, or a run without a description, is fs.ErrNotExist.
func (b *Bench) RunMetadata(name string) ([]byte, error) {
	info, err := b.find(name)
	if err != nil {
		return nil, err
	}
	if info.MetaFile == "" {
		return nil, fmt.Errorf("run %q has no metadata: %w", name, fs.ErrNotExist)
	}
	return b.dir.ReadFile(info.MetaFile)
}

func (b *Bench) find(name string) (runfile.Info, error) {
	if b.dir == nil {
		return runfile.Info{}, ErrNoFolder
	}
	info, err := runfile.Find(b.dir, name)
	if errors.Is(err, runfile.ErrNoRun) {
		return info, fmt.Errorf("%w (%w)", err, fs.ErrNotExist)
	}
	return info, err
}
