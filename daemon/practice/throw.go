package practice

import "math"

// steps is the resolution of a fader: 0 is the bottom of its travel.
const steps = 4000

// throw is how the desk's faders are marked: travel against decibels, with
// straight lines between. The second point lies below the first step, so only
// the very bottom is closed. harbour-hall.map.yaml says the same.
var throw = []struct {
	travel float64
	mark   gain
}{{0, closed}, {0.0002, -80}, {0.3, -36}, {0.6, -12}, {0.8, 0}, {1, 6}}

// stepGain is what the fader at step n does.
func stepGain(n int) gain {
	if n <= 0 {
		return closed
	}
	x := float64(n) / steps
	// From the second point on: the line down to minus infinity has no slope.
	for i := 2; i < len(throw); i++ {
		if a, b := throw[i-1], throw[i]; x <= b.travel {
			return a.mark + gain((x-a.travel)/(b.travel-a.travel))*(b.mark-a.mark)
		}
	}
	return throw[len(throw)-1].mark
}

// travelTo is where along its travel, 0 to 1, a fader does g. Above the top
// mark it is the top; below the lowest it is the bottom.
func travelTo(g gain) float64 {
	if g < throw[1].mark {
		return 0
	}
	for i := 2; i < len(throw); i++ {
		if a, b := throw[i-1], throw[i]; g <= b.mark {
			return a.travel + float64((g-a.mark)/(b.mark-a.mark))*(b.travel-a.travel)
		}
	}
	return 1
}

// nearestStep is the step at a place along the travel.
func nearestStep(travel float64) int { return int(math.Round(travel * steps)) }
