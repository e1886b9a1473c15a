package virtual

import "testing"

// quick asks the tests of the physics for their short form: fewer coils, fewer cases.
// Under the race detector every step costs twenty times as much, and has nothing to
// race with.
func quick() bool { return raced || testing.Short() }
