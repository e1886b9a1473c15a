package webui_test

import (
	"os/exec"
	"path/filepath"
	"testing"
)

// TestScriptTypes has the types that the scripts' comments state checked by the compiler
// of another language, which reads them and is not shipped.
func TestScriptTypes(t *testing.T) {
	node := findNode(t)
	compiler := filepath.Join("pages_test", "node_modules", "typescript", "bin", "tsc")
	if found, _ := filepath.Glob(compiler); found == nil {
		lacking(t, "JOULEWELL_NEED_NPM", "typescript is not installed (npm ci in webui/pages_test): the types of the scripts go unchecked")
	}
	if out, err := exec.Command(node, compiler, "--project", "pages_test").CombinedOutput(); err != nil {
		t.Errorf("check the types of the scripts: %v\n%s", err, out)
	}
}
