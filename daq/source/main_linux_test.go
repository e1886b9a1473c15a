package source

import (
	"os"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if task := os.Getenv(taskVariable); task != "" {
		runTask(task, os.Getenv(pathVariable))
		return
	}
	goleak.VerifyTestMain(m)
}
