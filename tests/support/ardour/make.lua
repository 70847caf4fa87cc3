-- SPDX-License-Identifier: ISC
-- A session with the plugin on a track: every preset is found by its label, then every control is set to some value of
-- its range and printed as the plugin has it. CW_FOLDER and CW_LABELS are put in by tests/hosts.sh.
local folder, labels = "CW_FOLDER", "CW_LABELS"
AudioEngine:set_backend("None (Dummy)", "", "")
local s = assert(create_session(folder, "one", 48000))
local t = s:new_audio_track(1, 1, nil, 1, "mono", ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, true):front()
local p = ARDOUR.LuaAPI.new_plugin(s, "urn:coilwright:voicing", ARDOUR.PluginType.LV2, "")
assert(not p:isnil(), "no plugin")
t:add_processor_by_index(p, 0, nil, true)
local plugin = p:to_insert():plugin(0)
for label in io.lines(labels) do
  local preset = plugin:preset_by_label(label)
  print("preset", preset and plugin:load_preset(preset) and "loaded" or "MISSING", label)
end
-- What is heard stays A, unmatched: the sound is compared later.
local keep = { Listen = 1, ["Level match"] = 0, ["Undo recording"] = 1, Enabled = 1, Trim = 0 }
math.randomseed(7)
local d = ARDOUR.ParameterDescriptor()
for i = 0, plugin:parameter_count() - 1 do
  if plugin:parameter_is_input(i) and plugin:parameter_is_control(i) then
    local _, desc = plugin:get_parameter_descriptor(i, d)
    local v = desc[2].lower + math.random() * (desc[2].upper - desc[2].lower)
    if desc[2].integer_step or desc[2].toggled or desc[2].enumeration then v = math.floor(v + 0.5) end
    if keep[desc[2].label] then v = keep[desc[2].label] end
    local c = p:to_automatable():automation_control(Evoral.Parameter(ARDOUR.AutomationType.PluginAutomation, 0, i), false)
    c:set_value(v, PBD.GroupControlDisposition.NoGroup)
    print("control", i, string.format("%.9g", c:get_value()))
  end
end
s:save_state("", false, false, false, false, false)
