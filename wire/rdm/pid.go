package rdm

import "fmt"

// PID is a parameter: what is asked or set (table A-3).
type PID uint16

// The parameters that are used here. Those marked with a star every device has (clause
// 10.4.1 and table A-3).
const (
	UniqueBranch           PID = 0x0001 // * who of a range is there
	Mute                   PID = 0x0002 // * answer no more ranges
	Unmute                 PID = 0x0003 // *
	QueuedMessage          PID = 0x0020 // what has waited
	StatusMessages         PID = 0x0030
	SupportedParameters    PID = 0x0050 // * beside those with a star
	DeviceInfoPID          PID = 0x0060 // *
	ModelDescription       PID = 0x0080
	ManufacturerLabel      PID = 0x0081
	DeviceLabel            PID = 0x0082
	SoftwareVersionLabel   PID = 0x00C0 // *
	Personality            PID = 0x00E0 // the mode
	PersonalityDescription PID = 0x00E1
	StartAddress           PID = 0x00F0 // * of a device with slots
	SensorDefinitionPID    PID = 0x0200
	SensorValuePID         PID = 0x0201
	DeviceHours            PID = 0x0400
	LampHours              PID = 0x0401
	LampStrikes            PID = 0x0402
	IdentifyDevice         PID = 0x1000 // *
)

var pidNames = map[PID]string{
	UniqueBranch: "DISC_UNIQUE_BRANCH", Mute: "DISC_MUTE", Unmute: "DISC_UN_MUTE", QueuedMessage: "QUEUED_MESSAGE",
	StatusMessages: "STATUS_MESSAGES", SupportedParameters: "SUPPORTED_PARAMETERS", DeviceInfoPID: "DEVICE_INFO",
	ModelDescription: "DEVICE_MODEL_DESCRIPTION", ManufacturerLabel: "MANUFACTURER_LABEL", DeviceLabel: "DEVICE_LABEL",
	SoftwareVersionLabel: "SOFTWARE_VERSION_LABEL", Personality: "DMX_PERSONALITY",
	PersonalityDescription: "DMX_PERSONALITY_DESCRIPTION", StartAddress: "DMX_START_ADDRESS",
	SensorDefinitionPID: "SENSOR_DEFINITION", SensorValuePID: "SENSOR_VALUE", DeviceHours: "DEVICE_HOURS",
	LampHours: "LAMP_HOURS", LampStrikes: "LAMP_STRIKES", IdentifyDevice: "IDENTIFY_DEVICE",
}

// String is the standard's name of the parameter, or its number.
func (p PID) String() string {
	if name, ok := pidNames[p]; ok {
		return name
	}
	return fmt.Sprintf("PID %#04x", uint16(p))
}

// Reason is why a request was refused (table A-17).
type Reason uint16

// Reasons that are told apart here.
const (
	UnknownPID     Reason = 0x0000
	WriteProtected Reason = 0x0004
	WrongClass     Reason = 0x0005
	OutOfRange     Reason = 0x0006
)

var reasons = [...]string{
	"it does not know that parameter", "it finds the request malformed", "its hardware is at fault", "a proxy refuses",
	"it is protected against being set: look at its own menu", "it cannot do that with this parameter",
	"it finds the value out of range", "its memory for messages is full", "the packet is too long for it",
	"it has no such part", "a proxy's memory is full",
}

// String says what the reason means.
func (r Reason) String() string {
	if int(r) < len(reasons) {
		return reasons[r]
	}
	return fmt.Sprintf("reason %#04x of its maker", uint16(r))
}
