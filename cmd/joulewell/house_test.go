package main

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The plan of the house, held by tests: which folder may import which, what the pure
// packages keep out, and that every quantity states its unit.

// mayImport lists, for each folder, the folders of ours that its packages may use
// besides their own subfolders. Arrows run one way, downward in this list.
var mayImport = map[string][]string{
	"cmd":    {"webui", "daq", "calib", "energy"},
	"webui":  {"daq", "calib", "energy"},
	"daq":    {"calib", "energy"},
	"calib":  {"energy"},
	"energy": {"calib/fit"},
}

// pure packages compute and do nothing else.
var pure = []string{"energy", "energy/motion", "energy/loss", "energy/quantity", "energy/balance", "energy/plan", "energy/worksheet", "energy/slip", "calib/fit", "calib/drift/chart", "calib/drift/allan", "calib/dwell", "calib/air", "calib/doubt", "calib/masses", "calib/loads", "calib/ruler", "calib/springs", "calib/timing", "daq/wire", "daq/trials/table"}

var impure = []string{"os", "net", "time", "math/rand", "math/rand/v2", "net/http", "log", "log/slog", "sync"}

type listed struct {
	ImportPath string
	Imports    []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "joulewell/...").Output()
	if err != nil {
		t.Fatalf("list packages: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p listed
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

func TestArrowsRunOneWay(t *testing.T) {
	for _, p := range packages(t) {
		from, _ := strings.CutPrefix(p.ImportPath, "joulewell/")
		top, _, _ := strings.Cut(from, "/")
		for _, i := range p.Imports {
			to, ours := strings.CutPrefix(i, "joulewell/")
			if !ours || strings.HasPrefix(to, top+"/") || to == top {
				continue
			}
			if !slices.ContainsFunc(mayImport[top], func(ok string) bool { return to == ok || strings.HasPrefix(to, ok+"/") }) {
				t.Errorf("%s imports %s: the arrows run cmd, webui, daq, calib, energy", from, to)
			}
		}
	}
}

func TestPurePackagesStayPure(t *testing.T) {
	for _, p := range packages(t) {
		name, _ := strings.CutPrefix(p.ImportPath, "joulewell/")
		if !slices.Contains(pure, name) {
			continue
		}
		for _, i := range p.Imports {
			if slices.Contains(impure, i) {
				t.Errorf("%s imports %s: it must stay pure", name, i)
			}
			if to, ours := strings.CutPrefix(i, "joulewell/"); ours && (name == "calib/fit" || name == "daq/wire") {
				t.Errorf("%s imports %s: it must know nothing of ours", name, to)
			}
		}
	}
}

// Exported quantities of the physics' own packages say their unit where they stand.
func TestQuantitiesStateTheirUnit(t *testing.T) {
	root := filepath.Join("..", "..")
	for _, dir := range []string{"energy", "calib", "daq"} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			for _, bare := range bareQuantities(t, path) {
				t.Errorf("%s: its comment must start with the unit in square brackets", bare)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func bareQuantities(t *testing.T, path string) []string {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	var bare []string
	ast.Inspect(file, func(n ast.Node) bool {
		s, ok := n.(*ast.StructType)
		if !ok {
			return true
		}
		for _, f := range s.Fields.List {
			if len(f.Names) == 0 || !f.Names[0].IsExported() || !isQuantity(f.Type) {
				continue
			}
			if !strings.HasPrefix(strings.TrimSpace(f.Doc.Text()), "[") && !strings.HasPrefix(strings.TrimSpace(f.Comment.Text()), "[") {
				bare = append(bare, set.Position(f.Pos()).String()+": "+f.Names[0].Name)
			}
		}
		return true
	})
	return bare
}

// isQuantity reports whether a field of this type is a number with a unit.
func isQuantity(t ast.Expr) bool {
	switch t := t.(type) {
	case *ast.Ident:
		return t.Name == "float64" || t.Name == "Estimate"
	case *ast.SelectorExpr:
		return t.Sel.Name == "Estimate" || t.Sel.Name == "Duration"
	}
	return false
}
