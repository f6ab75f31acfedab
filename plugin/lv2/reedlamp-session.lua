-- SPDX-License-Identifier: ISC
-- A session template for Ardour: `sh plugin/demo.sh install` puts it where Ardour looks for its user's scripts, and it is
-- offered under `Session` > `New`, among the templates.
--   Backing   a stereo track with Reedlamp on it: put the song here, bar 1 on a bar line
--   Harp      your microphone; its monitor is off, so that nothing howls
--   Phrases   a MIDI track whose synthesizer plays what Reedlamp has planned
ardour {
  ["type"] = "SessionInit",
  name = "Reedlamp: a song to play along",
  author = "the Reedlamp authors",
  license = "ISC",
  description = [[A track for the backing with Reedlamp on it, one for the microphone, one that plays the planned phrases. 72 beats a minute, 4/4.]]
}

function factory() return function()
  local order, normal = ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal

  local map = Temporal.TempoMap.fetch_writable()
  map:set_tempo(Temporal.Tempo(72, 72, 4), Temporal.timepos_t.from_ticks(0))
  Temporal.TempoMap.update(map)

  local backing = Session:new_audio_track(2, 2, nil, 1, "Backing", order, normal, true):front()
  local lamp = ARDOUR.LuaAPI.new_plugin(Session, "urn:reedlamp:plugin", ARDOUR.PluginType.LV2, "")
  assert(not lamp:isnil(), "Ardour does not know Reedlamp; is it in ~/.lv2, and have plugins been scanned?")
  backing:add_processor_by_index(lamp, 0, nil, true)

  Session:new_audio_track(1, 1, nil, 1, "Harp", order, normal, true)

  local midi = ARDOUR.ChanCount(ARDOUR.DataType("midi"), 1)
  local stereo = ARDOUR.ChanCount(ARDOUR.DataType("audio"), 2)
  local phrases = Session:new_midi_track(midi, stereo, true, ARDOUR.PluginInfo(), nil, nil, 1, "Phrases", order, normal, true):front()
  local synth = ARDOUR.LuaAPI.new_plugin(Session, "https://community.ardour.org/node/7596", ARDOUR.PluginType.LV2, "")
  if not synth:isnil() then phrases:add_processor_by_index(synth, 0, nil, true) end

  -- what the plugin plays leaves the backing's track by its MIDI output
  local from = backing:output():nth(backing:n_outputs():n_audio())
  local to = phrases:input():nth(0)
  if not from:isnil() and not to:isnil() then
    to:disconnect_all()
    from:connect(to:name())
  end
end end
