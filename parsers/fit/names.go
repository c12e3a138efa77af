package fit

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/tormoder/fit"

	"boutwise/parsers/recording"
)

// deviceOf names the device that wrote the file: what its file_id says, with
// the free-form name and the serial number of the creator's device_info where
// file_id leaves them out.
func deviceOf(file *fit.File, a *fit.ActivityFile) recording.Device {
	id := file.FileId
	name, serial := id.ProductName, id.SerialNumber
	for _, d := range a.DeviceInfos {
		if d.DeviceIndex != fit.DeviceIndexCreator {
			continue
		}
		if name == "" {
			name = d.ProductName
		}
		if serial == 0 {
			serial = d.SerialNumber
		}
		if id.Manufacturer == fit.ManufacturerInvalid {
			id.Manufacturer, id.Product = d.Manufacturer, d.Product
		}
	}
	device := recording.Device{Name: productName(&id, strings.ToValidUTF8(name, "?"))}
	// 0 is the sentinel; devices without a number also write all ones.
	if serial != 0 && serial != 0xFFFFFFFF {
		device.Serial = strconv.FormatUint(uint64(serial), 10)
	}
	return device
}

// productName is maker and product in words: the name that the device gives
// itself, else the profile's word for the product, else its number.
func productName(id *fit.FileIdMsg, own string) string {
	if id.Manufacturer == fit.ManufacturerInvalid {
		return own
	}
	maker := snake(id.Manufacturer.String())
	if own != "" {
		return maker + " " + own
	}
	switch product := id.GetProduct().(type) {
	case fit.GarminProduct:
		if word := product.String(); !strings.Contains(word, "(") {
			return maker + " " + snake(word)
		}
	}
	if id.Product == 0xFFFF {
		return maker
	}
	return fmt.Sprintf("%s %d", maker, id.Product)
}

// snake turns the decoder's names, which are Go identifiers, into words as the
// profile has them: "BloodPressure" into "blood_pressure". A number that has
// no name, "Manufacturer(999)", stays as it is in lower case.
func snake(name string) string {
	var b strings.Builder
	for i, r := range name {
		capital := r >= 'A' && r <= 'Z'
		if capital && i > 0 && name[i-1] >= 'a' && name[i-1] <= 'z' {
			b.WriteByte('_')
		}
		b.WriteRune(r)
	}
	return strings.ToLower(b.String())
}
