/** Begins the dashboard. */
import { mount } from 'svelte'
import App from './App.svelte'
import './style/paper.css'

const target = document.getElementById('page')
if (target) mount(App, { target })
