package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// paneRig is a vertical screw axis of invented data.
func paneRig() Rig {
	r := Defaults()
	r.Rig = "pane"
	r.Load.MassKG, r.Load.StartMM = 180, 200
	r.Transmission.FeedConstantMMPerTurn = 10
	r.Stops.HighMM = 1200
	r.Guide.SlidingNM, r.Guide.BreakawayNM, r.Guide.ViscousNMS = 0.08, 0.12, 2e-4
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 1.2e-3, 1.1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 10, 150, 600
	r.Brake.StaticNM, r.Brake.SlidingNM = 9, 7.5
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = 25*time.Millisecond, 20*time.Millisecond, 35*time.Millisecond
	r.Encoder.NoiseDeg = 0.005
	r.Judge.CeilingNM = 9
	return r
}

func TestPaneRigIsValid(t *testing.T) {
	r := paneRig()
	requireValid(t, &r)
}

// requireValid wants a rig of which there is nothing to say.
func requireValid(t require.TestingT, r *Rig) {
	warnings, err := Validate(r)
	require.NoError(t, err)
	require.Empty(t, warnings)
}
