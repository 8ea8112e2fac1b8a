package plant_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// The plant at its tick against SciPy's general-purpose solvers on the same equations,
// written a second time in testdata/solver/axis.py and solved to about 1e-7. The element
// promises sag, slip and slip work within 1e-3; so are the distance travelled, the
// stopping time and the warming held. What is below 1e-3 rad, J, s or K is nothing, and
// is held to 1e-3 of that.
const (
	elementTolerance = 1e-3
	nothing          = 1e-3
)

type solverCases struct {
	Tick  string         `json:"tick"`
	Rig   map[string]any `json:"rig"` // by the keys of the rig document
	Cases []solverCase   `json:"cases"`
}

type solverCase struct {
	Name   string         `json:"name"`
	Rig    map[string]any `json:"rig"` // over the common one
	End    string         `json:"end"`
	Stops  bool           `json:"stops"` // it has a stopping time
	Script []solverLine   `json:"script"`
}

type solverLine struct {
	At          string  `json:"at"`
	Drive       string  `json:"drive"`
	PressTorque float64 `json:"press_torque_nm"`
	PressRate   float64 `json:"press_rate_nm_s"`
	Brake       string  `json:"brake"`
	Brake2      string  `json:"brake_2"`
}

type solverResults struct {
	CasesSHA256 string                  `json:"cases_sha256"`
	Cases       map[string]solverResult `json:"cases"`
}

type solverResult struct {
	Sag          float64            `json:"sag_rad"` // start less the lowest angle
	Slip         float64            `json:"slip_rad"`
	SlipWork     float64            `json:"slip_work_j"`
	Slip2        float64            `json:"slip_2_rad"` // of the second brake, at the motor shaft
	SlipWork2    float64            `json:"slip_work_2_j"`
	StoppingTime float64            `json:"stopping_time_s"` // first rest after the peak speed
	PeakSpeed    float64            `json:"peak_speed_rad_s"`
	FinalAngle   float64            `json:"final_angle_rad"`
	Warmed       float64            `json:"warmed_k"`
	Times        []float64          `json:"t_s"`
	Angle        []float64          `json:"angle_rad"`
	Speed        []float64          `json:"speed_rad_s"`
	BrakeTorque  []float64          `json:"brake_torque_nm"` // mean of the tick before, as the plant's
	OwnError     map[string]float64 `json:"own_error"`
}

// The reference is worth what its own error says: a run 100 times looser and one by
// another method must agree with it a thousand times better than the plant has to.
func TestSolverKnowsItsOwnError(t *testing.T) {
	_, results := readSolverCases(t)
	for name, r := range results.Cases {
		for quantity, size := range r.OwnError {
			require.LessOrEqual(t, size, elementTolerance/1000, "%s %s", name, quantity)
		}
	}
}

func TestPlantAgreesWithSolver(t *testing.T) {
	cases, results := readSolverCases(t)
	for _, c := range cases.Cases {
		t.Run(c.Name, func(t *testing.T) {
			want, found := results.Cases[c.Name]
			require.True(t, found)
			rig := c.rig(t, cases)
			got := c.run(t, rig)
			tolerance := elementTolerance + got.impact(&rig)
			compareQuantities(t, want, &got, c.Stops, tolerance)
			comparePeak(t, want, &got)
			ticks := got.ticks(want.Times)
			compareColumn(t, "angle", ticks, want.Angle, got.angle, got.angle[0], tolerance)
			compareColumn(t, "speed", ticks, want.Speed, got.speed, 0, tolerance)
			compareColumn(t, "brake torque", ticks, want.BrakeTorque, got.torque, 0, tolerance)
		})
	}
}

func compareQuantities(t *testing.T, want solverResult, got *solverTrace, stops bool, tolerance float64) {
	t.Helper()
	check := func(name string, want, got float64) {
		t.Helper()
		t.Logf("%-13s %12.6g, solver %12.6g: %.1e", name, got, want, math.Abs(got-want)/max(math.Abs(want), nothing))
		if math.Abs(got-want) > tolerance*max(math.Abs(want), nothing) {
			t.Errorf("%s is %.8g; the solver has %.8g, tolerance %.2g", name, got, want, tolerance)
		}
	}
	check("sag", want.Sag, got.sag())
	check("slip", want.Slip, got.end.SlipRad)
	check("slip work", want.SlipWork, got.end.SlipWorkJ)
	check("slip 2", want.Slip2, got.second.SlipRad)
	check("slip work 2", want.SlipWork2, got.second.SlipWorkJ)
	check("distance", want.FinalAngle-got.angle[0], got.end.AngleRad-got.angle[0])
	check("warming", want.Warmed, got.warmed)
	if stops {
		check("stopping time", want.StoppingTime, got.stoppingTime())
	}
}

// comparePeak: the plant is seen at its ticks alone, so that a pointed peak is missed by
// up to what the speed changes on its flatter side.
func comparePeak(t *testing.T, want solverResult, got *solverTrace) {
	t.Helper()
	n := got.peak()
	flank := math.Inf(1)
	for _, next := range []int{n - 1, n + 1} {
		if next >= 0 && next < len(got.speed) {
			flank = min(flank, math.Abs(got.speed[n]-got.speed[next]))
		}
	}
	t.Logf("%-13s %12.6g, solver %12.6g, flatter side %.2g", "peak speed", math.Abs(got.speed[n]), want.PeakSpeed, flank)
	require.InDelta(t, want.PeakSpeed, math.Abs(got.speed[n]), elementTolerance*want.PeakSpeed+flank, "peak speed")
}

// compareColumn holds a trajectory to a share of its largest size, counted from an
// origin, plus half of what it changes over a tick just there: breakaway, contact and the
// end of a slip fall inside a tick, and the plant, which has one torque for all of it, may
// be half a tick early or late with them. It reports the worst place alone.
func compareColumn(t *testing.T, name string, ticks []int, want, got []float64, origin, tolerance float64) {
	t.Helper()
	require.Len(t, want, len(ticks))
	scale := nothing
	for _, v := range want {
		scale = max(scale, math.Abs(v-origin))
	}
	worst, excess, where := 0.0, math.Inf(-1), 0
	for i, n := range ticks {
		off := math.Abs(got[n] - want[i])
		change := math.Abs(got[n] - got[n-1])
		if n+1 < len(got) {
			change = max(change, math.Abs(got[n+1]-got[n]))
		}
		worst = max(worst, off/scale)
		if over := off - tolerance*scale - change/2; over > excess {
			excess, where = over, i
		}
	}
	t.Logf("%-13s off by up to %.1e of %.4g", name, worst, scale)
	if excess > 0 {
		t.Errorf("%s at tick %d is %.8g; the solver has %.8g, which is %.2g beyond %.2g of %.4g and half the change over a tick",
			name, ticks[where], got[ticks[where]], want[where], excess, tolerance, scale)
	}
}

// solverTrace is what the plant did, tick by tick; the first entry is the start.
type solverTrace struct {
	tick                 float64 // s
	angle, speed, torque []float64
	struck               bool // a hard stop
	warmed               float64
	end                  plant.State
	second               plant.BrakeState // zero without one
}

// ticks are the numbers of the ticks that end at these times.
func (r *solverTrace) ticks(times []float64) []int {
	numbers := make([]int, len(times))
	for i, at := range times {
		numbers[i] = int(math.Round(at / r.tick))
	}
	return numbers
}

func (r *solverTrace) sag() float64 {
	lowest := r.angle[0]
	for _, a := range r.angle {
		lowest = min(lowest, a)
	}
	return r.angle[0] - lowest
}

func (r *solverTrace) peak() int {
	at := 0
	for n, v := range r.speed {
		if math.Abs(v) > math.Abs(r.speed[at]) {
			at = n
		}
	}
	return at
}

// stoppingTime is when the speed goes through zero after its peak, on a straight line
// between two ticks.
func (r *solverTrace) stoppingTime() float64 {
	for n := r.peak() + 1; n < len(r.speed); n++ {
		if before, after := r.speed[n-1], r.speed[n]; before*after <= 0 {
			return (float64(n-1) + before/(before-after)) * r.tick
		}
	}
	return math.Inf(1)
}

// impact is the share of the speed that a tick cannot resolve when a hard stop is hit. The
// stop is touched for a part f of the first tick, in which it is pressed in by d = v f h.
// Its spring gives the impulse k d f h/2; an element that has one torque for the tick, by
// the spring at the middle, gives k d h/2. Over J the difference is f (1−f)/2 (ω₀ h)² v, at
// most (ω₀ h)² v/8 with ω₀² = k/J. Source: the impulse of a spring, by hand.
func (r *solverTrace) impact(rig *plant.Rig) float64 {
	if !r.struck {
		return 0
	}
	d := plant.Derive(rig)
	return d.StopStiffness / d.InertiaKGM2 * r.tick * r.tick / 8
}

func readSolverCases(t *testing.T) (solverCases, solverResults) {
	t.Helper()
	var cases solverCases
	var results solverResults
	text := decodeSolverFile(t, "cases.json", &cases)
	decodeSolverFile(t, "results.json", &results)
	sum := sha256.Sum256(text)
	require.Equal(t, results.CasesSHA256, hex.EncodeToString(sum[:]), "results.json is not of this cases.json: run axis.py")
	require.Len(t, results.Cases, len(cases.Cases))
	return cases, results
}

// decodeSolverFile keeps a rig's numbers as they are written, for [plant.Field.Set].
func decodeSolverFile(t *testing.T, name string, into any) []byte {
	t.Helper()
	text, err := os.ReadFile("testdata/solver/" + name)
	require.NoError(t, err)
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	require.NoError(t, d.Decode(into))
	return text
}

// rig has the values of the case. Drive speed, acceleration and the judge's ceiling must
// be there and do not matter.
func (c *solverCase) rig(t *testing.T, cases solverCases) plant.Rig {
	t.Helper()
	rig := plant.Defaults()
	rig.Rig, rig.Drive.SpeedMMS, rig.Drive.AccelerationMMS2, rig.Judge.CeilingNM = c.Name, 100, 1000, 100
	for _, values := range []map[string]any{cases.Rig, {"clock.tick": cases.Tick}, c.Rig} {
		for path, v := range values {
			field, ok := plant.FindField(path)
			require.True(t, ok, path)
			require.NoError(t, field.Set(&rig, fmt.Sprint(v)))
		}
	}
	if !rig.Brake2.Exists() { // the values that all cases share are of no use
		rig.Brake2 = plant.Defaults().Brake2
	}
	_, err := plant.Validate(&rig)
	require.NoError(t, err)
	return rig
}

func (c *solverCase) run(t *testing.T, rig plant.Rig) solverTrace {
	t.Helper()
	p := plant.New(rig, 1)
	s := p.State()
	r := solverTrace{tick: rig.Clock.Tick.Seconds()}
	record := func() {
		r.angle, r.speed = append(r.angle, s.AngleRad), append(r.speed, s.SpeedRadS)
		r.torque = append(r.torque, s.BrakeTorqueNM)
		r.struck = r.struck || s.StopTorqueNM != 0
	}
	record()
	for now := time.Duration(0); now < solverTime(t, c.End); now += rig.Clock.Tick {
		p.Sample()
		p.Step(c.command(t, now))
		record()
	}
	r.end, r.warmed = *s, s.BrakeTempC-rig.Brake.AmbientC
	if second := p.Brake2State(); second != nil {
		r.second = *second
	}
	return r
}

// command is the last line of the script that is due.
func (c *solverCase) command(t *testing.T, now time.Duration) plant.Command {
	t.Helper()
	var due plant.Command
	for _, line := range c.Script {
		if solverTime(t, line.At) > now {
			break
		}
		due = plant.Command{Mode: plant.Off, CloseBrake: line.Brake == "closed", CloseBrake2: line.Brake2 == "closed"}
		if line.Drive == "press" {
			due.Mode, due.PressTorqueNM, due.PressRateNMS = plant.Press, line.PressTorque, line.PressRate
		}
	}
	return due
}

func solverTime(t *testing.T, text string) time.Duration {
	t.Helper()
	d, err := time.ParseDuration(text)
	require.NoError(t, err)
	return d
}
