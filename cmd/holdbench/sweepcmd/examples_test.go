package sweepcmd

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
)

func TestExamplesOfSweep(t *testing.T) {
	if clitest.Race || testing.Short() {
		t.Skip("thousands of runs; the scripts run the same code")
	}
	program().Examples(t, "sweep", []clitest.Example{
		{Line: "holdbench sweep healthy-down-and-up", Short: "--runs 60 --set rig.clock.tick=1ms", Prints: []string{`^sweep of healthy-down-and-up$`, `^capacity +uniform\(0\.7, 1\.6\) +assumed$`, `^false alarms +[0-9.]+ %`}},
		{Line: "holdbench sweep healthy-down-and-up --runs 100000 --until 0.05", Short: "--until 0.15 --set rig.clock.tick=1ms", Prints: []string{`^[1-9][0-9]* runs; stopped, as both intervals are within ± 15 %; `}},
		{Line: "holdbench sweep healthy-down --runs 200 --spread 'capacity=normal(1.1,0.1)'", Short: "--set rig.clock.tick=1ms", Prints: []string{`^capacity +normal\(1\.1,0\.1\)$`, `^200 runs; `, `^missed +[0-9.]+ % `}, Says: `^200 runs in `},
		{Line: "holdbench sweep healthy-down --runs 20 --map --plot map.svg", Short: "--runs 2 --set rig.clock.tick=1ms", Prints: []string{`^60 runs in 30 cells; `}},
		{Line: "holdbench sweep healthy-down --rare false-alarm --spread capacity=fixed", Short: "--runs 100 --set rig.clock.tick=1ms", Prints: []string{`^rare-event estimate: false-alarm `, `^probability +0\.00[0-9]+ `}},
		{Line: "holdbench sweep healthy-down --runs 200 --table runs.csv --plot curve.png", Short: "--runs 40 --set rig.clock.tick=1ms", Prints: []string{`^40 runs; `}},
	})
	for file, has := range map[string]string{"map.svg": "<svg", "runs.csv": "run,cell,seed,", "curve.png": "PNG"} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Contains(t, string(text), has, file)
	}
}

func TestExamplesOfMerge(t *testing.T) {
	program().Examples(t, "merge", []clitest.Example{
		{Line: "holdbench sweep healthy-down --runs 20 --shard 1/2 --keep part1.jsonl", Prints: []string{`^10 runs, part 1 of 2; `}},
		{Line: "holdbench sweep healthy-down --runs 20 --shard 2/2 --keep part2.jsonl", Prints: []string{`^10 runs, part 2 of 2; `}},
		{Line: "holdbench merge part1.jsonl part2.jsonl --table runs.parquet --plot curve.svg", Prints: []string{`^sweep of healthy-down$`, `^20 runs; `}},
	})
	for file, has := range map[string]string{"runs.parquet": "PAR1", "curve.svg": "<svg"} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Contains(t, string(text), has, file)
	}
}

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "sweep healthy-down-and-up --runs 100 --set rig.clock.tick=1ms", "sweep healthy-down --runs 3 --map --set rig.clock.tick=1ms", "sweep --help", "merge --help")
}
