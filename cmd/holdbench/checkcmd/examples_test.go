package checkcmd

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

func TestExamples(t *testing.T) {
	if clitest.Race || testing.Short() {
		t.Skip("hundreds of runs; the scripts run the same code")
	}
	everything := []string{`^  ✓ ok +lining-worn-thin +caught +[0-9.]+ s$`, `^[1-9][0-9]+ scenarios: [1-9][0-9]+ as expected$`}
	program().Examples(t, "check", []clitest.Example{
		{Line: "holdbench check", Short: "brake", Prints: everything, Says: `^[1-9][0-9]+ of [1-9][0-9]+ scenarios in `},
		{Line: "holdbench check brake signals", Prints: []string{`^brake$`, `^signals$`, `^  ✓ ok +encoder-frozen +caught `}},
		{Line: "holdbench check --json lining-worn-thin", Prints: []string{`^\{"scenario":"lining-worn-thin",.*"class":"caught"`}, Data: true},
		{Line: "holdbench check --junit report.xml", Short: "brake", Prints: []string{`^  ✓ ok +lining-worn-thin +caught `}},
		{Line: "holdbench check --watch my-scenarios", Code: command.ExitWrong, Prints: []string{`unusable my-scenarios`}, Says: "no file to watch"},
		{Line: "holdbench check --sequence reference healthy", Prints: []string{`^  ✓ ok +healthy-down +sound-pass `}},
		{Line: "holdbench check --sequence down-only --set judge.directions=down brake", Code: command.ExitWrong, Prints: []string{`^  ✓ ok +brake-closes-late +sound-pass `, `^unusable, by cause$`}},
		{Line: "holdbench check --mutate --sequence hasty", Code: command.ExitBroken, Prints: []string{`^hasty$`, `^ *[0-9]+ +[0-9]+ +[0-9]+ +[0-9]+ +[0-9]+  all$`, `^  ✗ ready: leave out drive$`}},
	})
	report, err := os.ReadFile("report.xml")
	require.NoError(t, err)
	assert.NotContains(t, string(report), "<failure")
	assert.Regexp(t, `<testsuites name="holdbench check" time="[0-9.]+" tests="[1-9][0-9]+">`, string(report))
}

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "check engineering operation", "check --help")
}
