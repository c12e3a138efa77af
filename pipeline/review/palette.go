package review

import (
	"fmt"
	"image/color"
	"strconv"
	"strings"
)

// ink is a role that a colour plays. Pages and plots name roles; the
// stylesheet gives each a colour on light and on dark ground.
type ink struct {
	name        string // of the custom property
	light, dark string // #rrggbb
}

// The inks. Text has a contrast of at least 7:1 with its ground, lines at
// least 3:1 (WCAG 2.2, success criteria 1.4.6 and 1.4.11).
var (
	inkPage    = ink{"page", "#fbfaf7", "#181a1b"}
	inkPanel   = ink{"panel", "#f1efe9", "#222526"}
	inkText    = ink{"text", "#1f2224", "#e7e5df"}
	inkMuted   = ink{"muted", "#4a4f52", "#b5b8b6"}
	inkRule    = ink{"rule", "#cfccc3", "#3d4244"}
	inkLink    = ink{"link", "#3d3479", "#c0b9f2"}
	inkUrgent  = ink{"urgent", "#8a1420", "#ffb3ad"}
	inkSoon    = ink{"soon", "#6b4200", "#f0c37d"}
	inkOutput  = ink{"output", "#3d3479", "#b3abee"}
	inkHeart   = ink{"heart", "#9c2f3c", "#f08f8a"}
	inkBout    = ink{"bout", "#e4e0ee", "#33304a"}
	inkDoubt   = ink{"doubt", "#77737f", "#a29eac"}
	inkQuarter = ink{"quarter", "#1f2224", "#f4f2ec"}
)

// bandRamp runs from the easiest band to the hardest: one hue whose lightness
// alone changes, so that it reads the same without colour vision and in grey
// print. On dark ground it runs the other way: harder always stands out more.
var bandRamp = []ink{
	{"band1", "#dcd6ec", "#35304f"},
	{"band2", "#bdb3db", "#4b446f"},
	{"band3", "#9c8fc6", "#655d92"},
	{"band4", "#7a6db0", "#847cb4"},
	{"band5", "#5a4f93", "#a69fd0"},
	{"band6", "#3f3675", "#c8c3e6"},
	{"band7", "#272052", "#eae8f7"},
}

// inks lists every ink, in the order of the stylesheet.
func inks() []ink {
	return append([]ink{
		inkPage, inkPanel, inkText, inkMuted, inkRule, inkLink, inkUrgent, inkSoon,
		inkOutput, inkHeart, inkBout, inkDoubt, inkQuarter,
	}, bandRamp...)
}

// variable is the ink as a value in a stylesheet or in a drawing.
func (k ink) variable() string { return "var(--" + k.name + ")" }

// RGBA makes a pointer to an ink a colour, which is how the plotting library
// hands it on to a drawing: that of light ground.
func (k *ink) RGBA() (r, g, b, a uint32) {
	rgb, err := strconv.ParseUint(k.light[1:], 16, 32)
	if err != nil {
		panic("review: ink " + k.name + ": " + err.Error())
	}
	return color.NRGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 0xff}.RGBA()
}

// bandInk is the ramp's colour for band i of n: a set of fewer bands than the
// ramp has steps spans it whole, one of more shares steps.
func bandInk(i, n int) ink {
	if n <= 1 {
		return bandRamp[len(bandRamp)/2]
	}
	return bandRamp[i*(len(bandRamp)-1)/(n-1)]
}

// customProperties is the head of the stylesheet: every ink, light and dark.
// Paper is always light.
func customProperties() string {
	var light, dark strings.Builder
	for _, k := range inks() {
		fmt.Fprintf(&light, "  --%s: %s;\n", k.name, k.light)
		fmt.Fprintf(&dark, "    --%s: %s;\n", k.name, k.dark)
	}
	return ":root {\n  color-scheme: light dark;\n" + light.String() + "}\n" +
		"@media screen and (prefers-color-scheme: dark) {\n  :root {\n" + dark.String() + "  }\n}\n"
}
