package tidy

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/rehearsal"
	"joulewell/energy"
)

// Environment variables that forbid to skip for want of a program.
const (
	needPandas = "JOULEWELL_NEED_PANDAS"
	needR      = "JOULEWELL_NEED_R"
)

// folder holds trials.csv, of awkward labels, and run.csv, as the program writes them.
func folder(t *testing.T) string {
	t.Helper()
	path := t.TempDir()
	dir, err := os.OpenRoot(path)
	if err != nil {
		t.Fatal(err)
	}
	defer dir.Close()
	if err := rehearsal.Record(dir, "run", "a note, \"quoted\"", rehearsal.Bench("Tamar", 1, nil), 3, time.Unix(1.8e9, 0)); err != nil {
		t.Fatal(err)
	}
	var all []kept.Kept
	for i, group := range []string{"=1+1", "grün, \"two\"", "line\nbreak", "", "it's # %"} {
		k := example()
		k.Run, k.Group = fmt.Sprint("run ", i), group
		for n := range k.Trials {
			k.Trials[n].Run = k.Run + ".csv"
		}
		k.Trials[0].CycleLoss = &energy.Estimate{Value: 1e-3 * float64(i+1), U: 1e-4}
		all = append(all, k)
	}
	if err := os.WriteFile(filepath.Join(path, "trials.csv"), []byte(written(t, all...)), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// want is what either program must print of the folder: rows and columns of both tables,
// sums, what is missing, the kinds of columns, and a label.
const want = `trials 10 36
sum 0.015
missing 5
counted 5
numbers TRUE TRUE
labels '=1+1|grün, "two"|line\nbreak|it's # %
run 28
finite TRUE
`

// pandas reads both files with read_csv and nothing else said.
const pandas = `
import pandas as pd
t = pd.read_csv("trials.csv")
print("trials", t.shape[0], t.shape[1])
print("sum", round(t["loss_per_cycle_J"].sum(), 9))
print("missing", t["loss_per_cycle_J"].isna().sum())
print("counted", t.loc[t["counts"], "run"].count())
print("numbers", str(t["loss_per_cycle_J"].dtype == "float64").upper(), str(t["counts"].dtype == "bool").upper())
print("labels", "|".join(t["group"].dropna().unique()).replace("\n", "\\n"))
r = pd.read_csv("run.csv")
print("run", r.shape[1])
print("finite", str(bool(r["total_J"].dtype == "float64" and r["time_s"].notna().all() and r["total_J"].max() < 3)).upper())
`

const inR = `
t <- read.csv("trials.csv")
cat("trials", nrow(t), ncol(t), "\n")
cat("sum", round(sum(t$loss_per_cycle_J, na.rm = TRUE), 9), "\n")
cat("missing", sum(is.na(t$loss_per_cycle_J)), "\n")
cat("counted", sum(t$counts), "\n")
cat("numbers", is.numeric(t$loss_per_cycle_J), is.logical(t$counts), "\n")
labels <- unique(t$group)
cat("labels", gsub("\n", "\\n", paste(labels[labels != ""], collapse = "|"), fixed = TRUE), "\n")
r <- read.csv("run.csv")
cat("run", ncol(r), "\n")
cat("finite", is.numeric(r$total_J) && !any(is.na(r$time_s)) && max(r$total_J, na.rm = TRUE) < 3, "\n")
`

// pythonWithPandas is one that has it; Debian's may stand behind another on the path.
func pythonWithPandas(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("pandas takes seconds to begin")
	}
	for _, python := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(python, "-c", "import pandas").Run() == nil {
			return python
		}
	}
	if os.Getenv(needPandas) != "" {
		t.Fatal("no python3 here knows pandas")
	}
	t.Skip("pandas is not on this machine, so nobody reads the tables with it: set " + needPandas + "=1 to insist")
	return ""
}

func TestPandasReadsThem(t *testing.T) {
	reads(t, exec.Command(pythonWithPandas(t), "-c", pandas))
}

func TestRReadsThem(t *testing.T) {
	program, err := exec.LookPath("Rscript")
	if err != nil && os.Getenv(needR) == "" {
		t.Skip("R is not on this machine, so nobody reads the tables with it: set " + needR + "=1 to insist")
	}
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(program, "-e", inR)
	c.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	reads(t, c)
}

func reads(t *testing.T, c *exec.Cmd) {
	t.Helper()
	c.Dir = folder(t)
	var complaint strings.Builder
	c.Stderr = &complaint
	out, err := c.Output()
	got := strings.ReplaceAll(string(out), " \n", "\n")
	if err != nil || got != want {
		t.Errorf("%v, %s\n%s, want\n%s", err, complaint.String(), got, want)
	}
}
