// Command holdbench runs brake tests on simulated axes and compares the results of the controller
// with the true state of the plant.
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
