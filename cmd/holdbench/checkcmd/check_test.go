package checkcmd

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"encoding/xml"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jstemmer/go-junit-report/v2/junit"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sequence"
	"holdbench/sim"
)

// Runs are pure functions of documents and seed, whatever the number of workers
// (the aim of the element).
func TestSameBytesOnAnyNumberOfWorkers(t *testing.T) {
	forms := [][]string{{"--json"}, {"--tap", "healthy"}, {"--ascii", "signals", "drive"}} // the first with all scenarios
	if testing.Short() {
		forms = [][]string{{"--json", "healthy", "down-only"}}
	}
	for _, args := range forms {
		one := invoke(t.Context(), append([]string{"check", "--workers", "1"}, args...)...)
		eight := invoke(t.Context(), append([]string{"check", "--workers", "8"}, args...)...)
		require.NotEmpty(t, one.Stdout)
		assert.Equal(t, one.Stdout, eight.Stdout, args)
	}
	t.Run("JUnitReport", func(t *testing.T) {
		one := invoke(t.Context(), "check", "--junit", "-", "--workers", "1", "healthy")
		eight := invoke(t.Context(), "check", "--junit", "-", "--workers", "8", "healthy")
		require.Contains(t, one.Stdout, "<testsuites")
		assert.Equal(t, withoutClock(one.Stdout), withoutClock(eight.Stdout), "but for the time by the clock")
	})
}

// withoutClock is a JUnit report without the times by the clock.
func withoutClock(report string) string {
	return regexp.MustCompile(` time="[0-9.]+"`).ReplaceAllString(report, "")
}

// A build server reads the time by the clock, and the simulated one beside it.
func TestTimesOfTheJUnitReport(t *testing.T) {
	var report struct {
		Time   float64 `xml:"time,attr"`
		Tests  int     `xml:"tests,attr"`
		Suites []struct {
			Time       float64          `xml:"time,attr"`
			Tests      int              `xml:"tests,attr"`
			Properties []junit.Property `xml:"properties>property"`
			Cases      []struct {
				Name       string           `xml:"name,attr"`
				Time       float64          `xml:"time,attr"`
				Properties []junit.Property `xml:"properties>property"`
			} `xml:"testcase"`
		} `xml:"testsuite"`
	}
	begun := time.Now()
	got := invoke(t.Context(), "check", "--junit", "-", "--workers", "1", "healthy-down", "lining-worn-thin")
	elapsed := time.Since(begun).Seconds()
	require.NoError(t, xml.Unmarshal([]byte(got.Stdout), &report))
	require.Len(t, report.Suites, 2)
	assert.Equal(t, 2, report.Tests)
	healthy := report.Suites[0]
	assert.Equal(t, []junit.Property{{Name: "version", Value: command.Version()}}, healthy.Properties)
	require.Len(t, healthy.Cases, 1)
	assert.Equal(t, 1, healthy.Tests)
	assert.Equal(t, []junit.Property{{Name: "simulated_s", Value: "5.838"}, {Name: "class", Value: "sound-pass"}}, healthy.Cases[0].Properties)
	assert.InDelta(t, healthy.Time, healthy.Cases[0].Time, 0)
	assert.InDelta(t, report.Time, report.Suites[0].Time+report.Suites[1].Time, 0.0015, "a sum of what is rounded to ms")
	assert.LessOrEqual(t, report.Time, elapsed+0.001, "one worker takes no longer than the clock")
}

// An object says what it came from: the version, and each document with the hash of its bytes.
func TestSourcesOfAResult(t *testing.T) {
	t.Chdir(t.TempDir())
	text := []byte("scenario: mine\ntitle: t\nrig: pane-hoist\nsequence: reference\nexpect: {obligations: all}\n")
	require.NoError(t, os.WriteFile("mine.yaml", text, 0o600))
	got := invoke(t.Context(), "check", "--json", "mine.yaml")
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	var object struct {
		Version string
		Sources []sim.Document
	}
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &object))
	assert.Equal(t, command.Version(), object.Version)
	require.Len(t, object.Sources, 3)
	sum := sha256.Sum256(text)
	assert.Equal(t, sim.Document{Kind: "scenario", Name: "mine.yaml", SHA256: hex.EncodeToString(sum[:])}, object.Sources[0])
	sum = sha256.Sum256(sequence.Reference())
	assert.Equal(t, sim.Document{Kind: "sequence", Name: "reference", SHA256: hex.EncodeToString(sum[:])}, object.Sources[2])
	again := invoke(t.Context(), "check", "--json", "mine.yaml")
	assert.Equal(t, got.Stdout, again.Stdout)
}

// A check that is interrupted ends with 3 and keeps what was finished.
func TestInterrupted(t *testing.T) {
	t.Run("Check", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		junitFile := filepath.Join(t.TempDir(), "report.xml")
		var stdout bytes.Buffer
		got := invokeTo(ctx, &cancelling{&stdout, cancel}, "check", "--json", "--workers", "1", "--junit", junitFile)
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stderr, "interrupted; not run:")
		assert.GreaterOrEqual(t, strings.Count(stdout.String(), "\n"), 1)
		assert.True(t, strings.HasSuffix(stdout.String(), "}\n"), "the last object is whole")
		report, err := os.ReadFile(junitFile)
		require.NoError(t, err)
		assert.Contains(t, string(report), "interrupted before it ran")
	})
	t.Run("CheckBeforeItBegan", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		got := invoke(ctx, "check", "--tap")
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stdout, "Bail out!")
	})
	t.Run("Mutate", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		var stdout bytes.Buffer
		got := invokeTo(ctx, &cancelling{&stdout, cancel}, "check", "--mutate", "--sequence", "hasty", "--json", "--workers", "1")
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Regexp(t, "interrupted; [0-9]+ of [0-9]+ mutants tried", got.Stderr)
		assert.True(t, strings.HasSuffix(stdout.String(), "}\n"), "the last object is whole")
	})
	t.Run("MutateBeforeItBegan", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		got := invoke(ctx, "check", "--mutate", "--sequence", "hasty")
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Empty(t, got.Stdout)
	})
}

// cancelling ends a context with the first thing that is written.
type cancelling struct {
	to     *bytes.Buffer
	cancel context.CancelFunc
}

func (c *cancelling) Write(p []byte) (int, error) {
	defer c.cancel()
	return c.to.Write(p)
}
