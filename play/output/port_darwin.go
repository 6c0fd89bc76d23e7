package output

const (
	whereDevices  = "serial devices are /dev/cu.*"
	howPermission = "this user may not write to it"
)
