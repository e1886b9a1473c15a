package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"joulewell/daq/runfile"
	"joulewell/daq/setup"
)

// present refuses a file of which there is none, in the same words everywhere.
func present(path string) error {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such file", path)
	}
	return nil
}

// isRun says why no run file can lie at a path, and what to name instead.
func isRun(path string) error {
	switch about, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("there is no such file: joulewell serve and demo keep runs in the folder runs, or where --data says")
	case err != nil || !about.IsDir():
		return err
	}
	dir, err := os.OpenRoot(path)
	if err != nil {
		return err
	}
	defer dir.Close()
	switch runs, err := runfile.List(dir); {
	case err != nil:
		return err
	case len(runs) == 0:
		return errors.New("this is a folder, and holds no run: name a run file")
	default:
		return fmt.Errorf("this is a folder: name a run file in it; the newest of %d is %s", len(runs), filepath.Join(path, runs[0].File))
	}
}

// openRun opens a run file that a person named.
func openRun(path string) (*runfile.Reader, error) {
	if err := isRun(path); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return runfile.Open(path)
}

// openBench reads a bench file that a person named, or the one that is read by itself.
func openBench(path string) (setup.File, error) {
	if err := present(path); err != nil {
		return setup.File{}, fmt.Errorf("read %w: name the bench file with --config", err)
	}
	return setup.Load(path)
}

// create makes a file for a person; one that is there is left alone.
func create(path string) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s is there already: choose another name, or remove it first", path)
	}
	return file, err
}
