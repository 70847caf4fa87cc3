-- SPDX-License-Identifier: ISC
-- The session read by another process: controls as the plugin has them; saved once more.
AudioEngine:set_backend("None (Dummy)", "", "")
local s = assert(load_session("CW_FOLDER", "one"))
for r in s:get_routes():iter() do
  local p = r:nth_plugin(0)
  if not p:isnil() then
    local plugin = p:to_insert():plugin(0)
    for i = 0, plugin:parameter_count() - 1 do
      if plugin:parameter_is_input(i) and plugin:parameter_is_control(i) then
        local c = p:to_automatable():automation_control(Evoral.Parameter(ARDOUR.AutomationType.PluginAutomation, 0, i), false)
        print("control", i, string.format("%.9g", c:get_value()))
      end
    end
  end
end
s:save_state("", false, false, false, false, false)
