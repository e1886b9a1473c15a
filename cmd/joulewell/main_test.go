package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"joulewell/daq/workup/proof"
)

// asProgram makes the test binary behave as joulewell itself.
const asProgram = "JOULEWELL_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	if page := os.Getenv(asCrowd); page != "" {
		if err := crowd(page); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	testscript.Main(m, map[string]func(){"joulewell": func() {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
		defer stop()
		os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
	}})
}

// program returns joulewell as a process of its own.
func program(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self, args...)
	c.Env = append(os.Environ(), asProgram+"=1")
	return c
}

// TestCommands runs the scripts of testdata: what a person types, and what comes back.
func TestCommands(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			switch filepath.Base(e.WorkDir) {
			case "script-report", "script-drift":
				if err := os.Mkdir(e.WorkDir+"/runs", 0o755); err != nil {
					return err
				}
				proof.Record(t, e.WorkDir+"/runs", "tamar-drop", "../../testdata/recordings/tamar-drop", nil)
				proof.Record(t, e.WorkDir+"/runs", "it's a wrap", "../../testdata/recordings/tamar-wrap", nil)
			}
			bench, err := os.ReadFile("../../testdata/benches/severn.toml")
			if err != nil {
				return err
			}
			return os.WriteFile(e.WorkDir+"/severn.toml", bench, 0o644)
		},
	})
}
