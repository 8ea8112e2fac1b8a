// Command holdbench runs brake tests on simulated axes and holds what the controller
// says against what the plant knows.
package main

import (
	"os"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/terminal/noquery"
)

func main() {
	noquery.Over()
	os.Exit(command.RunProcess(root))
}
