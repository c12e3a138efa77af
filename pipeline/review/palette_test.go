package review

import (
	"math"
	"strconv"
	"testing"
)

// luminance is the relative luminance of a colour, as WCAG 2.2 defines it.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	rgb, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is not #rrggbb", hex)
	}
	channel := func(shift uint) float64 {
		c := float64(rgb>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(16) + 0.7152*channel(8) + 0.0722*channel(0)
}

// contrast is WCAG 2.2's contrast ratio.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// The formula's own fixed points: WCAG gives 21:1 for black on white and 1:1
// for equals; #767676 on white is the grey known to just pass 4.5:1.
func TestContrastFormula(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want float64
	}{{"#000000", "#ffffff", 21}, {"#808080", "#808080", 1}, {"#767676", "#ffffff", 4.54}} {
		if got := contrast(t, c.a, c.b); math.Abs(got-c.want) > 0.01 {
			t.Errorf("contrast of %s and %s: got %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
}

func TestPaletteContrast(t *testing.T) {
	check := func(what string, front, back ink, least float64) {
		if got := contrast(t, front.light, back.light); got < least {
			t.Errorf("light, %s: %s on %s has %.2f:1, want %.1f", what, front.name, back.name, got, least)
		}
		if got := contrast(t, front.dark, back.dark); got < least {
			t.Errorf("dark, %s: %s on %s has %.2f:1, want %.1f", what, front.name, back.name, got, least)
		}
	}
	for _, text := range []ink{inkText, inkMuted, inkLink, inkUrgent, inkSoon} {
		check("text", text, inkPage, 7)
		check("text", text, inkPanel, 7)
	}
	for _, line := range []ink{inkOutput, inkHeart, inkDoubt, inkQuarter, inkMuted} {
		check("line", line, inkPage, 3)
		check("line", line, inkBout, 3)
	}
	check("number of a bout", inkText, inkBout, 7)
}

// The ramp must be read by lightness alone: each step further from the page.
func TestBandRampIsSequential(t *testing.T) {
	for i := 1; i < len(bandRamp); i++ {
		for _, ground := range []struct{ name, page, easier, harder string }{
			{"light", inkPage.light, bandRamp[i-1].light, bandRamp[i].light},
			{"dark", inkPage.dark, bandRamp[i-1].dark, bandRamp[i].dark},
		} {
			easier, harder := contrast(t, ground.easier, ground.page), contrast(t, ground.harder, ground.page)
			if harder < 1.25*easier {
				t.Errorf("%s: step %d stands out %.2f:1, the one before it %.2f:1: too close", ground.name, i+1, harder, easier)
			}
		}
	}
}

func TestBandInkSpansTheRamp(t *testing.T) {
	for n := 2; n <= 10; n++ {
		if bandInk(0, n) != bandRamp[0] || bandInk(n-1, n) != bandRamp[len(bandRamp)-1] {
			t.Errorf("%d bands do not span the ramp", n)
		}
	}
}
