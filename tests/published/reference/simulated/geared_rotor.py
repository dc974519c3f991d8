"""A rotor of 16e-9 kg m2 behind 100:1 beside a load of 7.4e-6 kg m2, pushed with 0.1 mN m at the rotor.

pip install mujoco==4.0.0 && python3 geared_rotor.py
"""

import mujoco

WORLD = """<mujoco><option timestep="1e-5" gravity="0 0 0" integrator="implicitfast"/><worldbody>
<body><joint name="rotor" axis="0 0 1"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 16e-9"/></body>
<body><joint name="load" axis="0 0 1"/><inertial pos="0 0 0" mass="1" diaginertia="1 1 74e-7"/></body>
</worldbody><equality><joint joint1="rotor" joint2="load" polycoef="0 100 0 0 0" solref="2e-5 1"
solimp="0.9999999 0.9999999 1e-9"/></equality><actuator><motor joint="rotor"/></actuator></mujoco>"""

model = mujoco.MjModel.from_xml_string(WORLD)
data = mujoco.MjData(model)
data.ctrl[0] = 1e-4
for _ in range(2000):
    mujoco.mj_step(model, data)
mujoco.mj_forward(model, data)
print("acceleration of the load, rad/s2:", data.qacc[1])
